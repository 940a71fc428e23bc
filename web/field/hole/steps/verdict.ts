import { fourClocks, judgeRim as judge } from '#core/acceptance/rim.ts';
import type { Facts } from '#core/field/facts.ts';
import type { AcceptedBy } from '../limits.ts';

export interface Verdict {
  state: 'within' | 'doubtful' | 'off';
  /** The error that decides, metres, + = proud. */
  worst: number;
}

/** A rim against the agency's limits, at the four clocks and between them by the plane through them. */
export function judgeRim(
  { rimErrorsM, sigmaM }: Pick<Facts['rimChecked'], 'rimErrorsM' | 'sigmaM'>,
  limits: Pick<AcceptedBy, 'proud' | 'low'>,
): Verdict {
  const { state, worst } = judge(fourClocks(rimErrorsM), limits, sigmaM)!;
  return { state, worst: worst.error };
}

/** Which lines of a straightedge are past the agency's limit: gap and step alike. */
export function judgeEdge(
  { along, across }: Pick<Facts['straightedge'], 'along' | 'across'>,
  limits: Pick<AcceptedBy['straightedge'], 'along' | 'across'>,
): ('along' | 'across')[] {
  const isPast = (line: { gapM: number; proudM: number }, limit: number | null) =>
    limit !== null && Math.max(line.gapM, line.proudM) > limit + 1e-6;
  const past: ('along' | 'across')[] = [];
  if (isPast(along, limits.along)) past.push('along');
  if (across !== null && isPast(across, limits.across)) past.push('across');
  return past;
}
