import type { Ring, RingCatalogue } from './types.ts';

/**
 * Every stack of flat rings that the catalogue allows, sorted by height, so that the ones near a wanted height
 * are a short run of the table. `height` counts one `between` joint with each ring.
 */
export interface FlatTable {
  /** Flat rings of the catalogue, the tallest first. */
  rings: Ring[];
  size: number;
  height: Float64Array;
  count: Uint16Array;
  cost: Float64Array;
  /** Heights of the rows with at most 0, 1, 2, ... rings, ascending. */
  upTo: Float64Array[];
  /** Rings of each kind: `pieces[row * rings.length + kind]`. */
  pieces: Uint16Array;
}

/** More stacks than this are not tabled: a catalogue so large is almost surely a typing error. */
const mostStacks = 2_000_000;

/** @throws RangeError when the catalogue allows more flat stacks than can be searched exactly. */
export function tableFlats(catalogue: RingCatalogue): FlatTable {
  const rings = catalogue.rings.filter((r) => r.thick === r.thin).sort((a, b) => b.thin - a.thin);
  const between = catalogue.joint.between;
  const rows: { height: number; count: number; cost: number; pieces: number[] }[] = [];
  const pieces = rings.map(() => 0);
  const room = catalogue.maxChimney + 1e-9;
  let found: (height: number, count: number, cost: number) => void;
  const walk = (kind: number, height: number, count: number, cost: number): void => {
    if (kind === rings.length) {
      found(height, count, cost);
      return;
    }
    const ring = rings[kind];
    const most = Math.min(ring.maxPerStack, catalogue.maxRings - count);
    for (let k = 0; k <= most; k++) {
      const taller = height + k * (ring.thin + between);
      if (taller - between > room) break;
      pieces[kind] = k;
      walk(kind + 1, taller, count + k, cost + k * (ring.cost ?? 0));
    }
    pieces[kind] = 0;
  };
  // Counted before any is kept, so that a hopeless catalogue is refused at once.
  let met = 0;
  found = () => {
    if (++met > mostStacks) throw new RangeError(`more than ${mostStacks} stacks of flat rings`);
  };
  walk(0, 0, 0, 0);
  found = (height, count, cost) => {
    rows.push({ height, count, cost, pieces: [...pieces] });
  };
  walk(0, 0, 0, 0);
  // At one height the fewest rings come first, then the fewest kinds: easier to lay out on the truck.
  const kinds = (p: number[]) => p.reduce((s, k) => s + (k > 0 ? 1 : 0), 0);
  rows.sort((a, b) => a.height - b.height || a.count - b.count || kinds(a.pieces) - kinds(b.pieces));
  const table: FlatTable = {
    rings,
    size: rows.length,
    height: Float64Array.from(rows, (r) => r.height),
    count: Uint16Array.from(rows, (r) => r.count),
    cost: Float64Array.from(rows, (r) => r.cost),
    upTo: heightsUpTo(rows),
    pieces: new Uint16Array(rows.length * rings.length),
  };
  rows.forEach((r, i) => {
    table.pieces.set(r.pieces, i * rings.length);
  });
  return table;
}

/** So many rings are told apart; a search that allows more of them looks at all rows. */
const toldApart = 4;

function heightsUpTo(rows: readonly { height: number; count: number }[]): Float64Array[] {
  const all = Array.from({ length: toldApart }, (_, most) => rows.filter(({ count }) => count <= most));
  return [...all, rows].map((some) => Float64Array.from(some, ({ height }) => height));
}

/** The first of ascending heights that is at least as high; Infinity for none. */
export function firstAbove(heights: Float64Array, wanted: number): number {
  let low = 0;
  let high = heights.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (heights[middle] < wanted) low = middle + 1;
    else high = middle;
  }
  return low < heights.length ? heights[low] : Infinity;
}

/** Index of the first row at least as high as `height`. */
export function firstAtLeast({ height, size }: FlatTable, wanted: number): number {
  let low = 0;
  let high = size;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (height[middle] < wanted) low = middle + 1;
    else high = middle;
  }
  return low;
}
