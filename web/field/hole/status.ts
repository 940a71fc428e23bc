import { stateOfCover } from '#core/field/coverState.ts';
import type { FieldStatus } from '#shared/status.ts';
import type { CoverRecord } from './types.ts';

/**
 * How the cover stands by what was recorded: the phone knows it before any server does. null where nothing recorded
 * says so; `planned` where work on it began anew.
 */
export function statusBy(
  records: readonly CoverRecord[],
  limits: { proud: number; low: number },
): FieldStatus | null {
  const { status, standing } = stateOfCover(records, { sent: false, limits });
  const isBegun = standing.some(({ kind }) => kind === 'stackChosen' || kind === 'plated');
  return status ?? (isBegun ? 'planned' : null);
}
