/** Cells for each point up to which every cell has a place of its own in a list; farther apart they are looked up. */
const roomForEach = 16;

/** Points put into square cells, for all those within a distance of a place. Coordinates in metres. */
export class PointGrid {
  private readonly cell: number;
  private readonly west: number;
  private readonly south: number;
  private readonly columns: number;
  private readonly rows: number;
  /** Points in the order of their cells, within a cell in the order that they came in. */
  private readonly order: Uint32Array;
  /** Where in `order` the points of each cell begin, by cell; one more at the end. */
  private readonly starts: Uint32Array | null;
  /** The same for cells far apart: cell -> where its points begin and end. */
  private readonly runs: Map<number, readonly [start: number, end: number]> | null;
  private readonly east: Float64Array;
  private readonly north: Float64Array;

  constructor(east: Float64Array, north: Float64Array, cell: number) {
    this.cell = cell;
    this.east = east;
    this.north = north;
    const n = east.length;
    let [west, south, right, top] = [Infinity, Infinity, -Infinity, -Infinity];
    for (let i = 0; i < n; i++) {
      if (east[i] < west) west = east[i];
      if (east[i] > right) right = east[i];
      if (north[i] < south) south = north[i];
      if (north[i] > top) top = north[i];
    }
    this.west = west;
    this.south = south;
    this.columns = n === 0 ? 0 : Math.floor((right - west) / cell) + 1;
    this.rows = n === 0 ? 0 : Math.floor((top - south) / cell) + 1;
    const keys = new Float64Array(n);
    for (let i = 0; i < n; i++) keys[i] = this.key(east[i], north[i]);
    const cells = this.columns * this.rows;
    const close = cells <= roomForEach * n + roomForEach;
    this.starts = close ? startsOf(keys, cells) : null;
    this.order = this.starts ? orderByStarts(keys, this.starts) : orderByKey(keys);
    this.runs = close ? null : runsOf(keys, this.order);
  }

  private key(east: number, north: number): number {
    const column = Math.floor((east - this.west) / this.cell);
    return Math.floor((north - this.south) / this.cell) * this.columns + column;
  }

  /** Fill `found` with the indices of points within `radius`, in no order; returns how many. */
  within(east: number, north: number, radius: number, found: number[]): number {
    const { cell, west, south, columns, rows, order, starts, runs } = this;
    const square = radius * radius;
    const left = Math.max(0, Math.floor((east - radius - west) / cell));
    const right = Math.min(columns - 1, Math.floor((east + radius - west) / cell));
    const top = Math.min(rows - 1, Math.floor((north + radius - south) / cell));
    let count = 0;
    const take = (start: number, end: number): void => {
      for (let k = start; k < end; k++) {
        const i = order[k];
        const de = this.east[i] - east;
        const dn = this.north[i] - north;
        if (de * de + dn * dn <= square) found[count++] = i;
      }
    };
    for (let row = Math.max(0, Math.floor((north - radius - south) / cell)); row <= top; row++) {
      const first = row * columns;
      // Cells of a row stand one after the other.
      if (starts) {
        if (left <= right) take(starts[first + left], starts[first + right + 1]);
        continue;
      }
      for (let column = left; column <= right; column++) {
        const run = runs!.get(first + column);
        if (run) take(run[0], run[1]);
      }
    }
    found.length = count;
    return count;
  }
}

function startsOf(keys: Float64Array, cells: number): Uint32Array {
  const starts = new Uint32Array(cells + 1);
  for (const key of keys) starts[key + 1]++;
  for (let cell = 0; cell < cells; cell++) starts[cell + 1] += starts[cell];
  return starts;
}

function orderByStarts(keys: Float64Array, starts: Uint32Array): Uint32Array {
  const next = starts.slice();
  const order = new Uint32Array(keys.length);
  for (let i = 0; i < keys.length; i++) order[next[keys[i]]++] = i;
  return order;
}

function orderByKey(keys: Float64Array): Uint32Array {
  return Uint32Array.from(keys.keys()).sort((a, b) => keys[a] - keys[b] || a - b);
}

function runsOf(keys: Float64Array, order: Uint32Array): Map<number, readonly [number, number]> {
  const runs = new Map<number, readonly [number, number]>();
  for (let start = 0; start < order.length; ) {
    const key = keys[order[start]];
    let end = start + 1;
    while (end < order.length && keys[order[end]] === key) end++;
    runs.set(key, [start, end]);
    start = end;
  }
  return runs;
}
