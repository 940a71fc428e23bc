import type { Facts } from '../field/facts.ts';
import { countedTime } from './required.ts';
import type { VacuumTable } from './types.ts';
import type { VacuumNote } from './vacuum.ts';

/** Why a test counts as it does; pressures in inHg below the air outside, times in seconds. Worded in words.ts. */
export interface VacuumReason {
  code:
    | VacuumNote['code']
    | 'notMeasured'
    | 'saidNotTested'
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
  /** Seconds that it had to hold; null: the table has no answer. */
  required: number | null;
  /** Of failing first, then of not being a test of this table, then what is only said. */
  reasons: VacuumReason[];
}

/** A gauge is read to a tenth; figures that differ by less than this are the same. */
const rounding = 1e-6;

/**
 * What a test comes to by the agency's table. `failed`: the pressure fell past the limit in the time that was run, or
 * farther than the table allows from where it started. `passed`: it did not, the time was long enough, it started at
 * the table's pressure and was the test that the table describes. All else is `notTested`, which is never passed: one
 * begun below the start pressure too, whatever became of it, for it was another test.
 */
export function judgeVacuum(table: VacuumTable, facts: Facts['vacuum']): VacuumVerdict {
  const { seconds: required, notes } = countedTime(table, facts);
  const said = [...notes, ...notesOf(table, facts, required)];
  const { startInHg, endInHg, seconds } = facts;
  if (startInHg === null || endInHg === null || seconds === null)
    return { outcome: 'notTested', required, reasons: [reason('notMeasured'), ...said] };
  const run = { startInHg, endInHg, seconds };
  const unlike = unlikeTable(table, facts);
  if (required === null) return { outcome: 'notTested', required, reasons: [...said, ...unlike] };
  const failures = failuresOf(table, run, required);
  if (startInHg < table.startInHg - rounding) {
    const low = reason('startNotReached', { start: startInHg, wanted: table.startInHg });
    return { outcome: 'notTested', required, reasons: [low, ...failures, ...unlike, ...said] };
  }
  if (failures.length > 0 && facts.outcome !== 'notTested')
    return { outcome: 'failed', required, reasons: [...failures, ...unlike, ...said] };
  const gaps = [...failures, ...shortOf(table, run, required), ...unlike];
  if (gaps.length === 0 && facts.outcome === 'notTested') gaps.push(reason('saidNotTested'));
  return { outcome: gaps.length > 0 ? 'notTested' : 'passed', required, reasons: [...gaps, ...said] };
}

/** By its own table where that is known, else as it was recorded. */
export const judgeTest = (facts: Facts['vacuum'], table: VacuumTable | null | undefined): VacuumVerdict =>
  table && facts.tableId === table.id
    ? judgeVacuum(table, facts)
    : { outcome: facts.outcome, required: null, reasons: [] };

/** Codes that are said and decide nothing. */
const saidOnly: ReadonlySet<VacuumReason['code']> = new Set([
  'nextDiameter',
  'overlap',
  'gap',
  'aboveBands',
  'noGauge',
  'otherRequired',
  'agencyDefined',
]);

/** Why a test is none that passed; none of one that did. */
export const decidingReasons = ({ outcome, reasons }: VacuumVerdict): VacuumReason[] =>
  outcome === 'passed' ? [] : reasons.filter(({ code }) => !saidOnly.has(code));

interface Run {
  startInHg: number;
  endInHg: number;
  seconds: number;
}

const reason = (code: VacuumReason['code'], values: VacuumReason['values'] = {}): VacuumReason => ({
  code,
  values,
});

/**
 * A fall past the limit fails whenever in the required time it came; the very limit is reached in time by one that
 * took less than the time, or just the time where it has to be longer.
 */
function failuresOf(table: VacuumTable, { startInHg, endInHg, seconds }: Run, required: number) {
  const values = { end: endInHg, limit: table.endInHg, seconds, required };
  if (endInHg < table.endInHg - rounding) return [reason('fellBelow', values)];
  const isAtLimit = endInHg <= table.endInHg + rounding;
  if (isAtLimit && !isLongEnough(table, seconds, required)) return [reason('fellBelow', values)];
  const drop = startInHg - endInHg;
  const allowed = table.startInHg - table.endInHg;
  return drop > allowed + rounding ? [reason('fellTooFar', { drop, allowed })] : [];
}

const isLongEnough = (table: VacuumTable, seconds: number, required: number) =>
  table.passes === 'longer' ? seconds > required + rounding : seconds >= required - rounding;

function shortOf(table: VacuumTable, { seconds }: Run, required: number): VacuumReason[] {
  if (isLongEnough(table, seconds, required)) return [];
  const isEqual = seconds >= required - rounding;
  return [reason(isEqual ? 'notLonger' : 'timeShort', { seconds, required })];
}

/** Where it is not the test that the table describes: such a one never passes as it. */
export function unlikeTable(
  table: VacuumTable,
  { headAt, frameInPlace, scope }: Pick<Facts['vacuum'], 'headAt' | 'frameInPlace' | 'scope'>,
): VacuumReason[] {
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
  required: number | null,
): VacuumReason[] {
  const said: VacuumReason[] = [];
  if (gauge.trim() === '') said.push(reason('noGauge'));
  if (required !== null && requiredSeconds !== null && requiredSeconds < required - rounding)
    said.push(reason('otherRequired', { recorded: requiredSeconds, required }));
  if (scope === 'chimney') said.push(reason('agencyDefined'));
  return said;
}
