import { NormalEquations } from './normal.ts';

/**
 * Shots about one cover: x east and y north of its centre, z above the mean of the shots, in metres;
 * d is the distance from the centre, sigma the standard deviation of the elevation.
 */
export interface LocalShots {
  n: number;
  x: Float64Array;
  y: Float64Array;
  z: Float64Array;
  d: Float64Array;
  sigma: Float64Array;
}

export function makeLocalShots(capacity: number): LocalShots {
  const column = () => new Float64Array(capacity);
  return { n: 0, x: column(), y: column(), z: column(), d: column(), sigma: column() };
}

/** Coordinates are divided by this many metres in the equations, so that all unknowns are of one size. */
const scale = 4;

/**
 * How much a street surface bends, as the standard deviation of each second-degree coefficient, per metre:
 * 2e-4 is a vertical curve that turns 1 % in 25 m, or 4 % of superelevation on a radius of 100 m. The plane keeps
 * honest sigmas where far shots would otherwise pretend that the street is flat. Common practice, no source.
 */
export const bendSigma = 2e-4;

/**
 * The finished surface about a cover: a plane with a slight, unknown bend. Six unknowns (level, two gradients,
 * three second-degree terms); the bend is held near 0 by `bendSigma`, so it costs little where shots are few and
 * near, and gives way where they show it. What is reported is the plane that touches the surface at the cover.
 */
export class LocalFit {
  private readonly equations = new NormalEquations(6);
  private readonly row = new Float64Array(6);
  /** Sum of (residual / sigma)^2 plus the bend's own share. */
  chiSquare = 0;
  /** Residual / its own standard deviation, per shot given; also for shots that were not used. */
  readonly studentized: Float64Array;
  readonly residual: Float64Array;
  /** Share of a used shot's variance that is left in its residual: 0 where it alone decides the fit. */
  readonly redundancy: Float64Array;
  used = 0;

  constructor(capacity: number) {
    this.studentized = new Float64Array(capacity);
    this.residual = new Float64Array(capacity);
    this.redundancy = new Float64Array(capacity);
  }

  /** Elevation at the centre, above the mean of the shots. */
  get level(): number {
    return this.equations.x[0];
  }

  get east(): number {
    return this.equations.x[1] / scale;
  }

  get north(): number {
    return this.equations.x[2] / scale;
  }

  /**
   * Fit to the shots that `use` marks (all without it). Returns false when they do not determine a plane.
   * Residuals are worked out for every shot; a shot that was not used is judged with the plane's own variance
   * added to its own, one that was used with it taken off.
   */
  fit(shots: LocalShots, use?: Uint8Array): boolean {
    const { equations, row } = this;
    equations.clear();
    this.used = 0;
    for (let i = 0; i < shots.n; i++) {
      if (use && use[i] === 0) continue;
      this.fill(shots.x[i], shots.y[i]);
      equations.add(row, shots.z[i], 1 / (shots.sigma[i] * shots.sigma[i]));
      this.used++;
    }
    const bend = 1 / (bendSigma * scale * scale) ** 2;
    // Half the weight on the mixed term makes the bend expected alike in every direction, however the grid lies.
    equations.expectZero(3, bend);
    equations.expectZero(4, bend / 2);
    equations.expectZero(5, bend);
    if (this.used < 3 || !equations.solve()) return false;
    equations.invert();
    const x = equations.x;
    let chiSquare = (x[3] * x[3] + (x[4] * x[4]) / 2 + x[5] * x[5]) * bend;
    for (let i = 0; i < shots.n; i++) {
      this.fill(shots.x[i], shots.y[i]);
      let r = shots.z[i];
      for (let k = 0; k < 6; k++) r -= row[k] * x[k];
      const taken = !use || use[i] === 1;
      const variance = shots.sigma[i] * shots.sigma[i];
      const own = variance + (taken ? -1 : 1) * equations.variance(row);
      this.residual[i] = r;
      this.redundancy[i] = Math.max(0, own / variance);
      // A shot that alone decides the plane has no residual to be judged by.
      this.studentized[i] = r / Math.sqrt(Math.max(own, 1e-4 * variance));
      if (taken) chiSquare += (r * r) / variance;
    }
    this.chiSquare = chiSquare;
    return true;
  }

  private fill(x: number, y: number): void {
    const u = x / scale;
    const v = y / scale;
    const row = this.row;
    row[0] = 1;
    row[1] = u;
    row[2] = v;
    row[3] = u * u;
    row[4] = u * v;
    row[5] = v * v;
  }

  /** Standard deviation of the plane's elevation at the centre. */
  sigmaCentre(): number {
    return Math.sqrt(this.equations.inverse[0]);
  }

  /**
   * Largest standard deviation of the tangent plane round a rim of this radius, at 24 clock positions.
   * var(z0 + x a + y b) is a quadratic form in the direction, so 15 degree steps miss its peak by under 1 %.
   */
  sigmaRim(radius: number): number {
    const c = this.equations.inverse;
    const r = radius / scale;
    let most = 0;
    for (let i = 0; i < 24; i++) {
      const s = r * clockSin[i];
      const t = r * clockCos[i];
      const v = c[0] + s * s * c[7] + t * t * c[14] + 2 * (s * c[1] + t * c[2] + s * t * c[8]);
      if (v > most) most = v;
    }
    return Math.sqrt(most);
  }
}

const clockSin = Array.from({ length: 24 }, (_, i) => Math.sin((Math.PI * i) / 12));
const clockCos = Array.from({ length: 24 }, (_, i) => Math.cos((Math.PI * i) / 12));

/**
 * Chi-square value that a good fit exceeds once in a thousand times, for so many spare observations
 * (Wilson-Hilferty approximation, within 2 % from 1 degree of freedom up).
 */
export function chiSquareLimit(freedom: number): number {
  const k = Math.max(1, freedom);
  const c = 2 / (9 * k);
  return k * (1 - c + 3.0902 * Math.sqrt(c)) ** 3;
}
