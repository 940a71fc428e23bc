import type { Treatment } from '../plan/types.ts';

/** What has to be done with a rim that stands in the way of the mill. Lengths in metres. */
export interface MillDecision {
  /** How far the rim has to go down: mill depth and clearance. */
  drop: number;
  /** Buildup there is now: rim - seat - frame. */
  buildup: number;
  /** `shorten`: take rings out. `frameOnSeat`: only a bare frame clears. `millRound`: not even that. */
  way: 'shorten' | 'frameOnSeat' | 'millRound';
  /** What is left to spare over the clearance asked for; negative where the frame on its seat still stands too high. */
  spare: number;
}

/**
 * Rows A4 and A5 of the decision table: lower a rim that is flush with the old surface out of the mill's way.
 * `thinnest` is the thinnest ring with its joint: less than that cannot be left under the frame.
 * Returns null where nothing is milled.
 */
export function decideForMill(
  { rim, seat, frameHeight }: { rim: number; seat: number; frameHeight: number },
  { millDepth, millClearance }: Treatment,
  thinnest: number,
): MillDecision | null {
  if (millDepth <= 0) return null;
  const drop = millDepth + millClearance;
  const buildup = rim - seat - frameHeight;
  const left = buildup - drop;
  if (left < -1e-9) return { drop, buildup, way: 'millRound', spare: left };
  if (left > 1e-9 && left < thinnest - 1e-9) return { drop, buildup, way: 'frameOnSeat', spare: left };
  return { drop, buildup, way: left <= 1e-9 ? 'frameOnSeat' : 'shorten', spare: 0 };
}
