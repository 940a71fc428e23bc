import type { Facts } from '../field/facts.ts';
import type { VacuumTable } from './types.ts';
import { isRequired, type RequiredTime, requiredTime, type VacuumNote } from './vacuum.ts';

/** Why a test counts as it does; pressures in inHg below the air outside, times in seconds. Worded in words.ts. */
export interface VacuumReason {
  code:
    | VacuumNote['code']
    | 'notMeasured'
    | 'startNotReached'
    | 'fellBelow'
    | 'fellTooFar'
    | 'timeShort'
    | 'notLonger'
    | 'headElsewhere'
    | 'frameInPlace'
    | 'frameMissing'
    | 'otherScope'
    | 'noGauge'
    | 'otherRequired'
    | 'agencyDefined';
  values: Record<string, number | string>;
}

export interface VacuumVerdict {
  outcome: 'passed' | 'failed' | 'notTested';
  required: RequiredTime | null;
  /** Of failing first, then of not being a test of this table, then what is only said. */
  reasons: VacuumReason[];
}

/** A gauge is read to a tenth; figures that differ by less than this are the same. */
const rounding = 1e-6;

/**
 * What a test comes to by the agency's table. `failed`: the pressure fell past the limit in the time that was run, or
 * farther than the table allows from where it started. `passed`: it did not, the time was long enough, it started at
 * the table's pressure and was the test that the table describes. All else is `notTested`, which is never passed.
 */
export function judgeVacuum(table: VacuumTable, facts: Facts['vacuum']): VacuumVerdict {
  const answer = requiredTime(table, facts);
  const required = isRequired(answer) ? answer : null;
  const said = notesOf(table, facts, required);
  const { startInHg, endInHg, seconds } = facts;
  if (facts.outcome === 'notTested' || startInHg === null || endInHg === null || seconds === null)
    return { outcome: 'notTested', required, reasons: [reason('notMeasured'), ...said] };
  const run = { startInHg, endInHg, seconds };
  const unlike = unlikeTable(table, facts);
  const failures = required ? failuresOf(table, run, required) : [];
  if (failures.length > 0) return { outcome: 'failed', required, reasons: [...failures, ...unlike, ...said] };
  const short = required ? shortOf(table, run, required) : [reason(...questionOf(answer))];
  const gaps = [...short, ...unlike];
  if (startInHg < table.startInHg - rounding)
    gaps.unshift(reason('startNotReached', { start: startInHg, wanted: table.startInHg }));
  return { outcome: gaps.length > 0 ? 'notTested' : 'passed', required, reasons: [...gaps, ...said] };
}

interface Run {
  startInHg: number;
  endInHg: number;
  seconds: number;
}

const reason = (code: VacuumReason['code'], values: VacuumReason['values'] = {}): VacuumReason => ({
  code,
  values,
});

function questionOf(answer: ReturnType<typeof requiredTime>): [VacuumReason['code'], VacuumReason['values']] {
  const { code, values } = (answer as Exclude<typeof answer, RequiredTime>).question;
  return [code, values];
}

/**
 * A fall past the limit fails whenever in the required time it came; the very limit is reached in time by one that
 * took less than the time, or just the time where it has to be longer.
 */
function failuresOf(table: VacuumTable, { startInHg, endInHg, seconds }: Run, required: RequiredTime) {
  const values = { end: endInHg, limit: table.endInHg, seconds, required: required.seconds };
  if (endInHg < table.endInHg - rounding) return [reason('fellBelow', values)];
  const isAtLimit = endInHg <= table.endInHg + rounding;
  if (isAtLimit && !isLongEnough(table, seconds, required)) return [reason('fellBelow', values)];
  const drop = startInHg - endInHg;
  const allowed = table.startInHg - table.endInHg;
  return drop > allowed + rounding ? [reason('fellTooFar', { drop, allowed })] : [];
}

const isLongEnough = (table: VacuumTable, seconds: number, required: RequiredTime) =>
  table.passes === 'longer' ? seconds > required.seconds + rounding : seconds >= required.seconds - rounding;

function shortOf(table: VacuumTable, { seconds }: Run, required: RequiredTime): VacuumReason[] {
  if (isLongEnough(table, seconds, required)) return [];
  const isEqual = seconds >= required.seconds - rounding;
  return [reason(isEqual ? 'notLonger' : 'timeShort', { seconds, required: required.seconds })];
}

/** Where it is not the test that the table describes. */
function unlikeTable(table: VacuumTable, { headAt, frameInPlace, scope }: Facts['vacuum']): VacuumReason[] {
  const found: VacuumReason[] = [];
  if (scope !== table.scope) found.push(reason('otherScope', { scope, wanted: table.scope }));
  if (headAt !== table.headAt) found.push(reason('headElsewhere', { head: headAt, wanted: table.headAt }));
  if (table.frameInPlace !== null && frameInPlace !== table.frameInPlace)
    found.push(reason(table.frameInPlace ? 'frameMissing' : 'frameInPlace'));
  return found;
}

/** What does not decide and is said all the same. */
function notesOf(
  { scope }: VacuumTable,
  { gauge, requiredSeconds }: Facts['vacuum'],
  required: RequiredTime | null,
): VacuumReason[] {
  const said: VacuumReason[] = [...(required?.doubts ?? [])];
  if (gauge.trim() === '') said.push(reason('noGauge'));
  if (required && requiredSeconds !== null && requiredSeconds < required.seconds - rounding)
    said.push(reason('otherRequired', { recorded: requiredSeconds, required: required.seconds }));
  if (scope === 'chimney') said.push(reason('agencyDefined'));
  return said;
}
