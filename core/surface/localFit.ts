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
  private readonly lower = new Float64Array(21);
  private readonly right = new Float64Array(6);
  private readonly variances = new Float64Array(15);
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
    const { equations } = this;
    const bend = 1 / (bendSigma * scale * scale) ** 2;
    this.sumUp(shots, use);
    // Half the weight on the mixed term makes the bend expected alike in every direction, however the grid lies.
    equations.expectZero(3, bend);
    equations.expectZero(4, bend / 2);
    equations.expectZero(5, bend);
    if (this.used < 3 || !equations.solve()) return false;
    equations.invert();
    const [x0, x1, x2, x3, x4, x5] = equations.x;
    this.chiSquare = (x3 * x3 + (x4 * x4) / 2 + x5 * x5) * bend;
    const [x, y, z, sigma] = [shots.x, shots.y, shots.z, shots.sigma];
    const { residual, redundancy, studentized } = this;
    const q = this.spread();
    for (let i = 0; i < shots.n; i++) {
      const u = x[i] / scale;
      const v = y[i] / scale;
      const uu = u * u;
      const uv = u * v;
      const vv = v * v;
      const r = z[i] - x0 - x1 * u - x2 * v - x3 * uu - x4 * uv - x5 * vv;
      const ofFit =
        q[0] +
        (q[1] * u + q[2] * v) +
        (q[3] * uu + q[4] * uv + q[5] * vv) +
        u * (q[6] * uu + q[7] * uv + q[8] * vv) +
        q[9] * v * vv +
        uu * (q[10] * uu + q[11] * uv + q[12] * vv) +
        vv * (q[13] * uv + q[14] * vv);
      const taken = use === undefined || use[i] === 1;
      const variance = sigma[i] * sigma[i];
      const own = taken ? variance - ofFit : variance + ofFit;
      residual[i] = r;
      redundancy[i] = Math.max(0, own / variance);
      // A shot that alone decides the plane has no residual to be judged by.
      studentized[i] = r / Math.sqrt(Math.max(own, 1e-4 * variance));
      if (taken) this.chiSquare += (r * r) / variance;
    }
    return true;
  }

  /**
   * The normal equations of the shots that `use` marks. Their matrix holds the sums of w u^i v^j up to the fourth degree, fifteen
   * different ones, which are summed up once each.
   */
  private sumUp(shots: LocalShots, use?: Uint8Array): void {
    const [x, y, z, sigma] = [shots.x, shots.y, shots.z, shots.sigma];
    let used = 0;
    let [s00, s10, s01, s20, s11, s02, s30, s21, s12, s03] = [0, 0, 0, 0, 0, 0, 0, 0, 0, 0];
    let [s40, s31, s22, s13, s04] = [0, 0, 0, 0, 0];
    let [b0, b1, b2, b3, b4, b5] = [0, 0, 0, 0, 0, 0];
    for (let i = 0; i < shots.n; i++) {
      if (use !== undefined && use[i] === 0) continue;
      used++;
      const u = x[i] / scale;
      const v = y[i] / scale;
      const w = 1 / (sigma[i] * sigma[i]);
      const wu = w * u;
      const wv = w * v;
      const wuu = wu * u;
      const wuv = wu * v;
      const wvv = wv * v;
      const uu = u * u;
      const vv = v * v;
      s00 += w;
      s10 += wu;
      s01 += wv;
      s20 += wuu;
      s11 += wuv;
      s02 += wvv;
      s30 += wu * uu;
      s21 += wv * uu;
      s12 += wu * vv;
      s03 += wv * vv;
      s40 += wuu * uu;
      s31 += wuv * uu;
      s22 += wuu * vv;
      s13 += wuv * vv;
      s04 += wvv * vv;
      const h = z[i];
      b0 += w * h;
      b1 += wu * h;
      b2 += wv * h;
      b3 += wuu * h;
      b4 += wuv * h;
      b5 += wvv * h;
    }
    this.used = used;
    const { lower } = this;
    lower[0] = s00;
    lower[1] = s10;
    lower[2] = lower[6] = s20;
    lower[3] = s01;
    lower[4] = lower[10] = s11;
    lower[5] = lower[15] = s02;
    lower[7] = s30;
    lower[8] = lower[11] = s21;
    lower[9] = s40;
    lower[12] = lower[16] = s12;
    lower[13] = s31;
    lower[14] = lower[18] = s22;
    lower[17] = s03;
    lower[19] = s13;
    lower[20] = s04;
    const { right } = this;
    right[0] = b0;
    right[1] = b1;
    right[2] = b2;
    right[3] = b3;
    right[4] = b4;
    right[5] = b5;
    this.equations.load(lower, right);
  }

  /** Coefficients of the variance of the fitted surface at a place, a polynomial of the fourth degree in u and v. */
  private spread(): Float64Array {
    const c = this.equations.inverse;
    const q = this.variances;
    q[0] = c[0];
    q[1] = 2 * c[1];
    q[2] = 2 * c[2];
    q[3] = c[7] + 2 * c[3];
    q[4] = 2 * (c[8] + c[4]);
    q[5] = c[14] + 2 * c[5];
    q[6] = 2 * c[9];
    q[7] = 2 * (c[10] + c[15]);
    q[8] = 2 * (c[11] + c[16]);
    q[9] = 2 * c[17];
    q[10] = c[21];
    q[11] = 2 * c[22];
    q[12] = c[28] + 2 * c[23];
    q[13] = 2 * c[29];
    q[14] = c[35];
    return q;
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
