import type { AnyMade } from './facts.ts';

/** Whether the seat takes two beads: seen rough, and no bed of mortar laid on it since. `standing`: in their order. */
export function isSeatRough(standing: readonly Pick<AnyMade, 'kind' | 'facts'>[]): boolean {
  const last = standing.findLast(({ kind }) => kind === 'seatSeen' || kind === 'mortarBed');
  return last?.kind === 'seatSeen' && (last.facts as { surface: string }).surface === 'rough';
}
