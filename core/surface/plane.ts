import { NormalEquations } from './normal.ts';

export interface PlaneFit {
  /** z = intercept + east * x + north * y, in the coordinates given. */
  intercept: number;
  east: number;
  north: number;
  /** Standard errors of the three, from the residuals. */
  standardError: { intercept: number; east: number; north: number };
  /** sqrt(residual sum of squares / (n - 3)); 0 for three points. */
  residualDeviation: number;
  residuals: number[];
}

/**
 * Least-squares plane through points with optional weights (1 / variance). Coordinates are centred and scaled
 * before the normal equations are formed, so grid coordinates of any size keep their digits.
 * Returns null for fewer than three points or when all lie on one line.
 */
export function fitPlane(
  points: readonly { x: number; y: number; z: number }[],
  weights?: readonly number[],
): PlaneFit | null {
  const n = points.length;
  if (n < 3) return null;
  const weight = (i: number) => weights?.[i] ?? 1;
  const total = points.reduce((s, _, i) => s + weight(i), 0);
  const mean = (axis: 'x' | 'y' | 'z') => points.reduce((s, p, i) => s + weight(i) * p[axis], 0) / total;
  const centre = { x: mean('x'), y: mean('y'), z: mean('z') };
  const spread = (axis: 'x' | 'y') => Math.max(...points.map((p) => Math.abs(p[axis] - centre[axis])));
  const sx = spread('x');
  const sy = spread('y');
  if (sx === 0 || sy === 0) return null;
  // Second column made orthogonal to the first: predictors such as x and x squared are then told apart.
  const scaled = points.map((p) => ({ u: (p.x - centre.x) / sx, v: (p.y - centre.y) / sy }));
  const uu = scaled.reduce((s, p, i) => s + weight(i) * p.u * p.u, 0);
  const slant = scaled.reduce((s, p, i) => s + weight(i) * p.u * p.v, 0) / uu;
  const across = scaled.map((p) => p.v - slant * p.u);
  const vv = across.reduce((s, v, i) => s + weight(i) * v * v, 0);
  const scale = scaled.reduce((s, p, i) => s + weight(i) * p.v * p.v, 0);
  if (vv <= 1e-12 * scale) return null;
  const equations = new NormalEquations(3);
  equations.clear();
  points.forEach((p, i) => {
    equations.add([1, scaled[i].u, across[i]], p.z - centre.z, weight(i));
  });
  equations.solve();
  equations.invert();
  const [level, along, over] = equations.x;
  const north = over / sy;
  const east = (along - slant * over) / sx;
  const residuals = points.map((p, i) => p.z - centre.z - level - along * scaled[i].u - over * across[i]);
  const sum = residuals.reduce((s, r, i) => s + weight(i) * r * r, 0);
  const deviation = n > 3 ? Math.sqrt(sum / (n - 3)) : 0;
  const error = (row: number[]) => deviation * Math.sqrt(equations.variance(row));
  const u0 = -centre.x / sx;
  return {
    intercept: centre.z + level - east * centre.x - north * centre.y,
    east,
    north,
    standardError: {
      intercept: error([1, u0, -centre.y / sy - slant * u0]),
      east: error([0, 1 / sx, -slant / sx]),
      north: error([0, 0, 1 / sy]),
    },
    residualDeviation: deviation,
    residuals,
  };
}
