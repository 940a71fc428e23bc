import type { Facts } from '#core/field/facts.ts';
import type { VacuumTable } from '#shared/vacuum-table.ts';

export { type Asked, askedOf } from '#core/seal/required.ts';

/** `tooShort`: broken off while it still held, which says nothing. */
export type Outcome = 'passed' | 'failed' | 'tooShort';

type Measured = Pick<Facts['vacuum'], 'headAt' | 'frameInPlace'> & {
  startInHg: number;
  endInHg: number;
  seconds: number;
  required: number;
};

/**
 * Passed: from no less than the table's start pressure it held long enough, and fell neither past the table's limit nor
 * by more than the table allows: a start above it is no room to lose more.
 */
export function judge(table: VacuumTable, { startInHg, endInHg, seconds, required }: Measured): Outcome {
  const isLong = table.passes === 'longer' ? seconds > required : seconds >= required;
  const allowed = table.startInHg - table.endInHg;
  // A gauge is read to a tenth.
  const hasFallen = endInHg <= startInHg - allowed + 1e-6;
  if (!isLong) return hasFallen || endInHg <= table.endInHg ? 'failed' : 'tooShort';
  const isKept = endInHg >= table.endInHg - 1e-6 && startInHg - endInHg <= allowed + 1e-6;
  return isKept && startInHg >= table.startInHg - 1e-6 ? 'passed' : 'failed';
}

/** Where the test is not the one that the table describes: such a one never passes as it. */
export function unlike(
  table: VacuumTable,
  { headAt, frameInPlace }: Pick<Facts['vacuum'], 'headAt' | 'frameInPlace'>,
): string[] {
  const differs: string[] = [];
  if (headAt !== table.headAt) differs.push('the head sits elsewhere');
  if (table.frameInPlace !== null && frameInPlace !== table.frameInPlace)
    differs.push(table.frameInPlace ? 'the frame is not in place' : 'the frame is in place already');
  return differs;
}
