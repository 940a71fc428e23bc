import { NormalEquations } from './normal.ts';

export interface MinimaxPlane {
  /** z = level + east x + north y. */
  level: number;
  east: number;
  north: number;
  /** Largest absolute departure of the points from it. */
  misfit: number;
}

/**
 * The plane whose largest departure from points is least (Chebyshev). Lawson's iteration (1961): least squares
 * whose weights grow where the departure is large; it settles on the few points that hold the plane.
 * Coordinates should be near the origin and of order 1. Null when the points do not span a plane.
 */
export function minimaxPlane(
  x: readonly number[],
  y: readonly number[],
  z: readonly number[],
): MinimaxPlane | null {
  const n = x.length;
  const weight = new Float64Array(n).fill(1 / n);
  const equations = new NormalEquations(3);
  const size = Math.max(...x.map((v, i) => Math.hypot(v, y[i])), 1e-12);
  let best: MinimaxPlane | null = null;
  for (let round = 0; round < 400; round++) {
    equations.clear();
    for (let i = 0; i < n; i++) equations.add([1, x[i] / size, y[i] / size], z[i], weight[i]);
    if (!equations.solve()) break;
    const [level, a, b] = equations.x;
    let misfit = 0;
    let total = 0;
    for (let i = 0; i < n; i++) {
      const r = Math.abs(z[i] - level - (a * x[i] + b * y[i]) / size);
      misfit = Math.max(misfit, r);
      weight[i] *= r;
      total += weight[i];
    }
    if (!best || misfit < best.misfit) best = { level, east: a / size, north: b / size, misfit };
    // All weight gone: the points lie in the plane.
    if (misfit < 1e-9 || total < 1e-15) break;
    for (let i = 0; i < n; i++) weight[i] /= total;
  }
  return best;
}
