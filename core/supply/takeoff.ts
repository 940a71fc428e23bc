import type { Ring } from '../stack/types.ts';

/** How rings are ordered. */
export interface OrderRule {
  /** Spare rings as a share of those needed: 0.05 is 5 %. */
  spareShare: number;
  /** Rings in a pack, by ring id; one where a ring is absent. */
  packs: ReadonlyMap<string, number>;
  /** A flat ring up to this thick is a thin one, of which a spare is always brought. Metres. */
  thinFlat: number;
  /** Rings on hand by id; null where nobody counted. */
  onHand: ReadonlyMap<string, number> | null;
}

/** One ring of a takeoff. Counts of rings. */
export interface TakeoffRow {
  ring: string;
  needed: number;
  /** Needed and spare, in whole packs, whatever is on hand. */
  toBring: number;
  /** null where nobody counted. */
  onHand: number | null;
  /** Needed and not on hand, no spare counted; null where nobody counted. */
  short: number | null;
  /** Whole packs that make up for what is missing of needed and spare; null where nobody counted. */
  toOrder: number | null;
}

export interface Takeoff {
  /** In the order of the catalogue; rings that are neither needed nor brought as spares are absent. */
  rows: TakeoffRow[];
  /** Rings of stacks that the catalogue does not have, each once, in order. */
  unknown: string[];
}

/** A sum that is this little over a whole pack is one of rounding. */
const rounding = 1e-9;

/**
 * Rings of stacks (ids of each, from the plan or as chosen at the hole) as they are brought and ordered. Of each taper
 * and of each thin flat there is at least one spare, even where none is needed: a cut or dropped one stops a night.
 * Common practice, no source.
 */
export function takeoff(
  stacks: Iterable<readonly string[]>,
  catalogue: readonly Ring[],
  rule: OrderRule,
): Takeoff {
  const needs = new Map<string, number>();
  for (const stack of stacks) for (const ring of stack) needs.set(ring, (needs.get(ring) ?? 0) + 1);
  const known = new Set(catalogue.map(({ id }) => id));
  const rows = catalogue
    .map((ring) => toRow(ring, needs.get(ring.id) ?? 0, rule))
    .filter(({ toBring }) => toBring > 0);
  return { rows, unknown: [...needs.keys()].filter((id) => !known.has(id)).sort() };
}

function toRow(ring: Ring, needed: number, { spareShare, packs, thinFlat, onHand }: OrderRule): TakeoffRow {
  const pack = packs.get(ring.id) ?? 1;
  const isTaper = ring.thick > ring.thin;
  const least = isTaper || ring.thick <= thinFlat + rounding ? 1 : 0;
  const wanted = needed + Math.max(needed * spareShare, least);
  const there = onHand === null ? null : (onHand.get(ring.id) ?? 0);
  return {
    ring: ring.id,
    needed,
    toBring: inPacks(wanted, pack),
    onHand: there,
    short: there === null ? null : Math.max(0, needed - there),
    toOrder: there === null ? null : inPacks(wanted - there, pack),
  };
}

const inPacks = (rings: number, pack: number): number =>
  Math.max(0, Math.ceil(rings / pack - rounding)) * pack;
