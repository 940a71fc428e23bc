import type { Facts } from '#core/field/facts.ts';
import type { AcceptedBy } from '../limits.ts';

export interface Verdict {
  state: 'within' | 'doubtful' | 'off';
  /** The error that decides, metres, + = proud. */
  worst: number;
}

/** A rim against the agency's limits; within them by less than twice the sigma of a shot it is doubtful. */
export function judgeRim(
  { rimErrorsM, sigmaM }: Pick<Facts['rimChecked'], 'rimErrorsM' | 'sigmaM'>,
  { proud, low }: Pick<AcceptedBy, 'proud' | 'low'>,
): Verdict {
  /** How far over its own limit an error is. */
  const over = (error: number) => Math.max(error - proud, -error - low);
  const worst = rimErrorsM.reduce((far, error) => (over(error) > over(far) ? error : far), rimErrorsM[0]);
  // A hair under what a tape shows: 1/4 in typed is 1/4 in allowed.
  if (over(worst) > 1e-6) return { state: 'off', worst };
  return { state: over(worst) + 2 * sigmaM > 1e-6 ? 'doubtful' : 'within', worst };
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
