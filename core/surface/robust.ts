import { NormalEquations } from './normal.ts';

export interface TrimmedFit {
  coefficients: number[];
  /** Indices of the observations kept, ascending. */
  kept: number[];
  /** Sum of squared residuals of those kept. */
  sumOfSquares: number;
}

/** More starts than this are sampled evenly instead of all tried. */
const mostStarts = 6000;

/**
 * Least trimmed squares: the fit with the least sum of squares over its own best `keep` observations, which up to
 * n - keep wild ones cannot pull. Every elemental subset starts a chain of concentration steps (keep the nearest,
 * refit), which only ever lowers the sum. Rousseeuw & Leroy, Robust Regression and Outlier Detection, 1987;
 * concentration steps: Rousseeuw & Van Driessen 2006.
 * @param rows design matrix, a row an observation. @returns null when no subset determines the unknowns.
 */
export function leastTrimmedSquares(
  rows: readonly (readonly number[])[],
  values: readonly number[],
  keep: number,
): TrimmedFit | null {
  const n = rows.length;
  const p = rows[0]?.length ?? 0;
  if (p === 0 || n < p || keep < p || keep > n) return null;
  const equations = new NormalEquations(p);
  const solveSubset = (subset: readonly number[]): number[] | null => {
    equations.clear();
    for (const i of subset) equations.add(rows[i], values[i], 1);
    return equations.solve() ? Array.from(equations.x) : null;
  };
  const square = (coefficients: number[], i: number) => {
    let r = values[i];
    for (let k = 0; k < p; k++) r -= coefficients[k] * rows[i][k];
    return r * r;
  };
  let best: TrimmedFit | null = null;
  for (const start of elementalSubsets(n, p)) {
    let coefficients = solveSubset(start);
    let before = Infinity;
    while (coefficients) {
      const current: number[] = coefficients;
      const squares = rows.map((_, i) => square(current, i));
      const order = rows.map((_, i) => i).sort((i, j) => squares[i] - squares[j]);
      const kept = order.slice(0, keep);
      const next = solveSubset(kept);
      if (!next) break;
      const sumOfSquares = kept.reduce((s, i) => s + square(next, i), 0);
      if (!best || sumOfSquares < best.sumOfSquares) {
        best = { coefficients: next, kept: kept.sort((i, j) => i - j), sumOfSquares };
      }
      if (!(sumOfSquares < before * (1 - 1e-9))) break;
      before = sumOfSquares;
      coefficients = next;
    }
  }
  return best;
}

/** All subsets of `p` out of `n` indices, or an even sample of them. */
function* elementalSubsets(n: number, p: number): Generator<number[]> {
  let total = 1;
  for (let k = 0; k < p; k++) total = (total * (n - k)) / (k + 1);
  const stride = Math.max(1, Math.ceil(total / mostStarts));
  const subset = Array.from({ length: p }, (_, i) => i);
  for (let count = 0; ; count++) {
    if (count % stride === 0) yield [...subset];
    let k = p - 1;
    while (k >= 0 && subset[k] === n - p + k) k--;
    if (k < 0) return;
    subset[k]++;
    for (let j = k + 1; j < p; j++) subset[j] = subset[j - 1] + 1;
  }
}

/** Median of a list; NaN for an empty one. Sorts a copy. */
export function median(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b);
  const middle = sorted.length >> 1;
  if (sorted.length % 2 === 1) return sorted[middle];
  return (sorted[middle - 1] + sorted[middle]) / 2;
}
