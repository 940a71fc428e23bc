import { buildupNow, type Heights } from './chimney.ts';

/** The next overlay. Lengths in metres, at least 0. */
export interface Overlay {
  /** Compacted. */
  thickness: number;
  /** Milled off before it is laid. */
  mill: number;
  /** What the mill needs over a rim. */
  millClearance: number;
}

/** A structure as far as it decides about an overlay. Unknown is null, never false. */
export interface OverlayCandidate extends Heights {
  located: boolean | null;
  chimneyUnsound: boolean | null;
  frameUnsound: boolean | null;
  /** A screw or slide top, which takes no rings. */
  telescoping: boolean;
}

export type OverlayReason =
  | 'fits'
  | 'chimneyUnsound'
  | 'chimneyLimit'
  | 'millStrikes'
  | 'notLocated'
  | 'frameUnsound'
  | 'telescoping'
  | 'noSeat'
  | 'noRim'
  | 'belowSeat';

/** Lengths in metres; null where the heights are not known. */
export interface OverlayVerdict {
  answer: 'yes' | 'no' | 'unknown';
  reason: OverlayReason;
  /** The figures of the reason, for its words. */
  values: Record<string, number>;
  buildup: number | null;
  /** Raise left to the chimney limit; below 0: past it. */
  remaining: number | null;
  /** Chimney after the overlay. */
  after: number | null;
  /** Overlays like this one that fit in; null: without end, or not known. */
  overlaysLeft: number | null;
}

/** Rounding of heights that were worked out from millimetres or hundredths of a foot must decide nothing. */
const slack = 1e-9;

/**
 * A rim this much lower than its frame on the bare seat contradicts itself: one of the three was measured wrong. Two
 * levellings may differ by it. Common practice, no source.
 */
export const contradiction = 0.01;

/**
 * May a structure take the next overlay? The rim is taken to be flush with the pavement now, so that it has to come up
 * by the overlay less what is milled. First match wins: rows A1 to A5 of the decision table and the chimney limit.
 */
export function judgeOverlay(
  candidate: OverlayCandidate,
  overlay: Overlay,
  maxChimney: number,
): OverlayVerdict {
  const buildup = buildupNow(candidate);
  const raise = overlay.thickness - overlay.mill;
  const isUsable = buildup !== null && buildup >= -contradiction && !candidate.telescoping;
  const known = {
    buildup,
    remaining: isUsable ? maxChimney - buildup : null,
    after: isUsable ? buildup + raise : null,
    overlaysLeft: isUsable ? countOverlays(maxChimney - buildup, raise) : null,
  };
  return { ...decideOverlay({ candidate, overlay, maxChimney, buildup }), ...known };
}

/**
 * How many overlays that raise the rim by `raise` each the remaining height takes; null where they take none of it.
 * 2.5 in left at 1.5 in each is 1.
 */
export function countOverlays(remaining: number, raise: number): number | null {
  if (raise <= slack) return null;
  return Math.max(0, Math.floor((remaining + slack) / raise));
}

type Decided = Pick<OverlayVerdict, 'answer' | 'reason' | 'values'>;

interface Facts {
  candidate: OverlayCandidate;
  overlay: Overlay;
  maxChimney: number;
  buildup: number | null;
}

function decideOverlay({ candidate, overlay, maxChimney, buildup }: Facts): Decided {
  if (candidate.located === false) return unknown('notLocated');
  if (candidate.chimneyUnsound) return no('chimneyUnsound', {});
  if (candidate.frameUnsound) return unknown('frameUnsound');
  if (candidate.telescoping) return unknown('telescoping');
  if (candidate.seat === null) return unknown('noSeat');
  if (buildup === null) return unknown('noRim');
  if (buildup < -contradiction) return unknown('belowSeat', { by: -buildup });
  const drop = overlay.mill + overlay.millClearance;
  if (overlay.mill > 0 && drop > buildup + slack)
    return no('millStrikes', { drop, buildup, short: drop - buildup });
  const after = buildup + overlay.thickness - overlay.mill;
  if (after > maxChimney + slack)
    return no('chimneyLimit', { after, limit: maxChimney, over: after - maxChimney });
  return { answer: 'yes', reason: 'fits', values: { after, limit: maxChimney, left: maxChimney - after } };
}

const no = (reason: OverlayReason, values: Record<string, number>): Decided => ({
  answer: 'no',
  reason,
  values,
});
const unknown = (reason: OverlayReason, values: Record<string, number> = {}): Decided => ({
  answer: 'unknown',
  reason,
  values,
});
