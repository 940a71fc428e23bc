import type { Problem } from '../problem.ts';
import type { RawGeometry, RawPosition } from './types.ts';

/** So many equal ones are no chance; 0 alone is what programs write for "none". */
const enoughEqual = 3;

/** Watches whether every point carries the same third ordinate, which then says nothing of elevation. */
export class ThirdOrdinate {
  #points = 0;
  #value: number | null = null;
  #varies = false;

  look(geometry: RawGeometry | null): void {
    if (this.#varies || geometry?.type !== 'point') return;
    const z = geometry.position[2];
    if (z === null) return;
    this.#points++;
    if (this.#value === null) this.#value = z;
    else if (this.#value !== z) this.#varies = true;
  }

  /** A note once all points have been seen; null where the third ordinate says something or is not there. */
  verdict(layer: string): Problem | null {
    if (this.#varies || this.#value === null) return null;
    if (this.#value !== 0 && this.#points < enoughEqual) return null;
    return {
      code: 'flatThirdOrdinate',
      row: null,
      column: null,
      value: String(this.#value),
      message: `the third ordinate is ${this.#value} on every point of ${layer}; that is no elevation`,
    };
  }
}

/** A position of numbers as they stand; null where x or y is not finite. */
export function position(x: number, y: number, z: number | null): RawPosition | null {
  if (!Number.isFinite(x) || !Number.isFinite(y)) return null;
  return [x, y, z !== null && Number.isFinite(z) && Math.abs(z) < noDataFrom ? z : null];
}

/** From 1e38 on (shapefile: "any number smaller than -10^38") an ordinate stands for "no data". */
const noDataFrom = 1e38;
