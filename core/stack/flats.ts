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
  /** The rows of 0, 1, 2, ... rings, each by height. */
  byCount: FlatRows[];
  /** Rings of each kind: `pieces[row * rings.length + kind]`. */
  pieces: Uint16Array;
}

/** Some rows of the table, by height. */
export interface FlatRows {
  height: Float64Array;
  /** Their numbers in the table. */
  row: Uint32Array;
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
    byCount: sortByCount(rows),
    pieces: new Uint16Array(rows.length * rings.length),
  };
  rows.forEach((r, i) => {
    table.pieces.set(r.pieces, i * rings.length);
  });
  return table;
}

function sortByCount(rows: readonly { height: number; count: number }[]): FlatRows[] {
  const most = rows.reduce((largest, { count }) => Math.max(largest, count), 0);
  const numbers: number[][] = Array.from({ length: most + 1 }, () => []);
  for (const [number, { count }] of rows.entries()) numbers[count].push(number);
  return numbers.map((own) => ({
    height: Float64Array.from(own, (number) => rows[number].height),
    row: Uint32Array.from(own),
  }));
}

/** Place of the first of ascending heights that is at least as high as `wanted`. */
export function firstAtLeast(height: Float64Array, wanted: number): number {
  let low = 0;
  let high = height.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (height[middle] < wanted) low = middle + 1;
    else high = middle;
  }
  return low;
}
