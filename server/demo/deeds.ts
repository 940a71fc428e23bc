import { metresPer } from '#core/units/length.ts';
import type { PlannedPlace } from './kinds.ts';
import { overlay, surveyAt } from './limits.ts';
import type { Random } from './random.ts';

/**
 * What was done to a cover on site, so that its planning status has a true reason. The generator never sets a status:
 * it sets seats, rims, conditions and shots, and the computation finds out.
 */
export type Deed =
  /** Left below the new surface, as paving leaves them. */
  | 'ordinary'
  /** Set flush earlier; its rim was shot all round. */
  | 'flush'
  /** Flush, but with a single shot on the rim. */
  | 'flushOneShot'
  /** Stands above the surface with rings to spare. */
  | 'proud'
  /** Seat so deep that the chimney passes its limit. */
  | 'deep'
  | 'unsoundChimney'
  | 'crackedFrame'
  /** Its rim lies across the crown. */
  | 'onCrown'
  /** The gap is thinner than the thinnest ring. */
  | 'thin'
  | 'notFound';

const inch = metresPer.in;

/** How many of each the overlay has. */
const counts: readonly [Deed, number][] = [
  ['flush', 9],
  ['flushOneShot', 2],
  ['proud', 6],
  ['deep', 5],
  ['unsoundChimney', 2],
  ['crackedFrame', 3],
  ['onCrown', 5],
  ['thin', 3],
  ['notFound', 2],
];

/** Deals the deeds out over the overlay's levelled covers that take rings. */
export function drawDeeds(places: readonly PlannedPlace[], random: Random): Map<PlannedPlace, Deed> {
  const able = random.shuffled(
    places.filter(({ street, place, kind }) => {
      const part = overlay.find((candidate) => candidate.street === street.id)!;
      return kind.adjustment === 'rings' && surveyAt(part, place.station) === 'levelled';
    }),
  );
  const deeds = new Map<PlannedPlace, Deed>();
  for (const [deed, count] of counts) {
    for (let dealt = 0; dealt < count; dealt++) {
      const at = able.findIndex(({ street }) => deed !== 'onCrown' || street.section.form === 'crowned');
      if (at >= 0) deeds.set(able.splice(at, 1)[0], deed);
    }
  }
  return deeds;
}

/** How a deed shows in what is there. Metres. */
export interface Traces {
  /** Replaces the planned offset. */
  offset: number | null;
  /** Seat to underside of a flush frame. */
  buildup: number;
  /** Rim above the finished surface, + = proud. */
  rimError: number;
  located: boolean | null;
  chimneyUnsound: boolean | null;
  frameUnsound: boolean | null;
}

export function tracesOf(deed: Deed, random: Random): Traces {
  const traces: Traces = {
    offset: null,
    buildup: random.between(2.2, 9.5) * inch,
    rimError: -random.between(0.028, 0.062),
    located: true,
    chimneyUnsound: random.chance(0.5) ? false : null,
    frameUnsound: random.chance(0.5) ? false : null,
  };
  switch (deed) {
    case 'flush':
    case 'flushOneShot':
      return { ...traces, rimError: 0 };
    case 'proud':
      return { ...traces, rimError: random.between(0.011, 0.03) };
    case 'deep':
      return { ...traces, buildup: random.between(14.6, 18) * inch };
    case 'unsoundChimney':
      return { ...traces, chimneyUnsound: true };
    case 'crackedFrame':
      return { ...traces, frameUnsound: true };
    case 'onCrown':
      return { ...traces, offset: random.between(-0.15, 0.15) };
    case 'thin':
      return { ...traces, buildup: random.between(0.2, 0.45) * inch };
    case 'notFound':
      return { ...traces, located: false };
    default:
      return traces;
  }
}
