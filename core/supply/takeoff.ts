import type { Ring } from '../stack/types.ts';

/** How one ring is ordered. */
export interface RingRule {
  /** Rings in a pack, at least 1: nobody sells part of one. */
  pack: number;
  /** Spare rings as a share of those needed: 0.05 is 5 %. */
  spareShare: number;
  /** Spare rings at least, however few are needed. */
  spareAtLeast: number;
  /** null where nobody counted: the order is then made as if there were none. */
  onHand: number | null;
}

/** One ring of a takeoff. Counts of rings, but for `packs`. */
export interface TakeoffRow {
  ring: string;
  needed: number;
  spare: number;
  onHand: number | null;
  /** Needed and not on hand, no spare counted. */
  short: number;
  /** Whole packs that make up for what is missing of needed and spare. */
  packs: number;
  /** In those packs. */
  toOrder: number;
  /** What is there once the order has come and all that is needed stands: spares, and what the packs held beyond them. */
  leftOver: number;
}

/** Five in a hundred, the lower end of what is usual (5 to 10 %). Common practice, no source. */
export const usualSpareShare = 0.05;

/** A flat ring up to this thick breaks easily. Common practice, no source; one inch, in metres. */
const thinFlatM = 0.0254;

/** A sum that is this little over a whole ring is one of rounding. */
const rounding = 1e-9;

/**
 * Of each taper and of each thin flat there is at least one spare, even where none is needed: a cut or dropped one stops
 * a night. Common practice, no source.
 */
export function usualSpareAtLeast({ thin, thick }: Pick<Ring, 'thin' | 'thick'>): number {
  return thick > thin || thick <= thinFlatM + rounding ? 1 : 0;
}

/**
 * Rings as they are ordered, in the order of the catalogue. `needs`: rings by id; where nothing at all is needed there are
 * no spares either. Throws a RangeError for a pack of less than one ring.
 */
export function takeoff(
  needs: ReadonlyMap<string, number>,
  catalogue: readonly Pick<Ring, 'id'>[],
  ruleOf: (ring: string) => RingRule,
): TakeoffRow[] {
  const isAny = [...needs.values()].some((count) => count > 0);
  return catalogue.map(({ id }) => toRow(id, needs.get(id) ?? 0, { ...ruleOf(id), isAny }));
}

function toRow(
  ring: string,
  needed: number,
  { pack, spareShare, spareAtLeast, onHand, isAny }: RingRule & { isAny: boolean },
): TakeoffRow {
  if (!(pack >= 1)) throw new RangeError(`A pack holds at least one ring, not ${pack}`);
  const spare = isAny ? Math.max(wholeOf(needed * spareShare), spareAtLeast) : 0;
  const there = onHand ?? 0;
  const packs = wholeOf((needed + spare - there) / pack);
  const toOrder = packs * pack;
  return {
    ring,
    needed,
    spare,
    onHand,
    short: Math.max(0, needed - there),
    packs,
    toOrder,
    leftOver: there + toOrder - needed,
  };
}

const wholeOf = (count: number): number => Math.max(0, Math.ceil(count - rounding));
