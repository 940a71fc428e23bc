/** Points hashed into square cells, for all those within a distance of a place. Coordinates in metres. */
export class PointGrid {
  private readonly cell: number;
  private readonly west: number;
  private readonly south: number;
  private readonly columns: number;
  private readonly rows: number;
  private readonly first: Map<number, number>;
  private readonly order: Uint32Array;
  private readonly east: Float64Array;
  private readonly north: Float64Array;

  constructor(east: Float64Array, north: Float64Array, cell: number) {
    this.cell = cell;
    this.east = east;
    this.north = north;
    const n = east.length;
    let west = Infinity;
    let south = Infinity;
    let right = -Infinity;
    let top = -Infinity;
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
    this.order = Uint32Array.from({ length: n }, (_, i) => i).sort((a, b) => keys[a] - keys[b] || a - b);
    this.first = new Map();
    for (let k = n - 1; k >= 0; k--) this.first.set(keys[this.order[k]], k);
  }

  private key(east: number, north: number): number {
    const column = Math.floor((east - this.west) / this.cell);
    return Math.floor((north - this.south) / this.cell) * this.columns + column;
  }

  /** Fill `found` with the indices of points within `radius`, in no order; returns how many. */
  within(east: number, north: number, radius: number, found: number[]): number {
    const { cell, west, south, columns, rows, order, first } = this;
    const square = radius * radius;
    const left = Math.max(0, Math.floor((east - radius - west) / cell));
    const right = Math.min(columns - 1, Math.floor((east + radius - west) / cell));
    const top = Math.min(rows - 1, Math.floor((north + radius - south) / cell));
    let count = 0;
    for (let row = Math.max(0, Math.floor((north - radius - south) / cell)); row <= top; row++) {
      for (let column = left; column <= right; column++) {
        const key = row * columns + column;
        const start = first.get(key);
        if (start === undefined) continue;
        for (let k = start; k < order.length; k++) {
          const i = order[k];
          if (this.key(this.east[i], this.north[i]) !== key) break;
          const de = this.east[i] - east;
          const dn = this.north[i] - north;
          if (de * de + dn * dn <= square) found[count++] = i;
        }
      }
    }
    found.length = count;
    return count;
  }
}
