import type { Bounds } from '../understanding.ts';

/** Positions looked at for where they land; evenly spread over the file. */
const mostSpread = 1000;

/** What one pass over positions gathers, in memory that does not grow with the file. x is east as read. */
export class Gathered {
  count = 0;
  placed = 0;
  #minX = Infinity;
  #minY = Infinity;
  #maxX = -Infinity;
  #maxY = -Infinity;
  #minZ = Infinity;
  #maxZ = -Infinity;
  #spread: [x: number, y: number, z: number][] = [];
  #stride = 1;

  add(x: number, y: number, z: number): void {
    if (this.placed % this.#stride === 0) this.#keep(x, y, z);
    this.placed++;
    if (x < this.#minX) this.#minX = x;
    if (x > this.#maxX) this.#maxX = x;
    if (y < this.#minY) this.#minY = y;
    if (y > this.#maxY) this.#maxY = y;
    if (z < this.#minZ) this.#minZ = z;
    if (z > this.#maxZ) this.#maxZ = z;
  }

  #keep(x: number, y: number, z: number): void {
    this.#spread.push([x, y, z]);
    if (this.#spread.length < 2 * mostSpread) return;
    this.#spread = this.#spread.filter((_, index) => index % 2 === 0);
    this.#stride *= 2;
  }

  get spread(): readonly (readonly [x: number, y: number, z: number])[] {
    return this.#spread;
  }

  bounds(swapped = false): Bounds | null {
    if (this.placed === 0) return null;
    const hasZ = this.#minZ <= this.#maxZ;
    const [minEasting, maxEasting, minNorthing, maxNorthing] = swapped
      ? [this.#minY, this.#maxY, this.#minX, this.#maxX]
      : [this.#minX, this.#maxX, this.#minY, this.#maxY];
    return {
      minEasting,
      minNorthing,
      maxEasting,
      maxNorthing,
      minElevation: hasZ ? this.#minZ : null,
      maxElevation: hasZ ? this.#maxZ : null,
    };
  }

  /** Whether every position could be longitude and latitude. */
  couldBeLonLat(): boolean {
    return (
      this.placed > 0 && this.#minX >= -180 && this.#maxX <= 180 && this.#minY >= -90 && this.#maxY <= 90
    );
  }

  /** Largest coordinate, whatever its sign. */
  get farthest(): number {
    if (this.placed === 0) return 0;
    return Math.max(...[this.#minX, this.#maxX, this.#minY, this.#maxY].map(Math.abs));
  }
}
