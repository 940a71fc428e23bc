export interface MinimaxPlane {
  /** z = level + east x + north y. */
  level: number;
  east: number;
  north: number;
  /** Largest absolute departure of the points from it. */
  misfit: number;
}

/** Rounds after which the first point that is off is taken, not the worst: that cannot go in a circle (Bland 1977). */
const carefulFrom = 60;
const mostRounds = 400;
/** Three points whose triangle is thinner than this share of its length make no plane. */
const thinnest = 1e-7;

/**
 * The plane whose largest departure from points is least (Chebyshev), exactly: four points hold it, or three where it
 * passes through all. The simplex method on the dual problem (Cheney, Introduction to Approximation Theory, 1966,
 * chapter 2): each round exchanges one of the four for the point that departs most.
 * Coordinates should be near the origin. Null when the points do not span a plane.
 */
export function minimaxPlane(
  x: readonly number[],
  y: readonly number[],
  z: readonly number[],
): MinimaxPlane | null {
  const size = x.reduce((most, v, i) => Math.max(most, Math.hypot(v, y[i])), 0);
  const start = widestThree(x, y);
  if (!start) return null;
  const [i, j, k] = start;
  const column = (point: number, sign: number) => [
    sign,
    (sign * x[point]) / size,
    (sign * y[point]) / size,
    1,
  ];
  const held = [
    { point: i, sign: 1 },
    { point: i, sign: -1 },
    { point: j, sign: 1 },
    { point: k, sign: 1 },
  ];
  const slack = 1e-13 * z.reduce((most, v) => Math.max(most, Math.abs(v)), 1e-6);
  let plane: MinimaxPlane | null = null;
  for (let round = 0; round < mostRounds; round++) {
    const inverse = inverted(held.map(({ point, sign }) => column(point, sign)));
    const price = (c: number) => held.reduce((sum, h, r) => sum + h.sign * z[h.point] * inverse[c][r], 0);
    const [level, a, b, height] = [0, 1, 2, 3].map(price);
    const off = (p: number) => z[p] - level - (a * x[p] + b * y[p]) / size;
    let worst = 0;
    let next = -1;
    for (let p = 0; p < z.length; p++) {
      const departure = Math.abs(off(p));
      worst = Math.max(worst, departure);
      const isOff = departure > height + slack;
      if (isOff && (next < 0 || (round < carefulFrom && departure > Math.abs(off(next))))) next = p;
    }
    if (!plane || worst < plane.misfit) plane = { level, east: a / size, north: b / size, misfit: worst };
    const sign = next < 0 ? 0 : Math.sign(off(next));
    const leaving = next < 0 ? -1 : leavingRow(inverse, column(next, sign));
    if (leaving < 0) break;
    held[leaving] = { point: next, sign };
  }
  return plane;
}

/** A point, the one farthest from it, and the one farthest from the line through both; null where all are in line. */
function widestThree(x: readonly number[], y: readonly number[]): [number, number, number] | null {
  const farthest = (measure: (i: number) => number) =>
    x.reduce((best, _, i) => (measure(i) > measure(best) ? i : best), 0);
  if (x.length < 3) return null;
  const j = farthest((i) => Math.hypot(x[i] - x[0], y[i] - y[0]));
  const [dx, dy] = [x[j] - x[0], y[j] - y[0]];
  const across = (i: number) => Math.abs(dx * (y[i] - y[0]) - dy * (x[i] - x[0]));
  const k = farthest(across);
  return across(k) > thinnest * (dx * dx + dy * dy) ? [0, j, k] : null;
}

/** The held point whose share first comes to nothing as the entering one's grows; -1 for none. */
function leavingRow(inverse: readonly number[][], column: readonly number[]): number {
  let leaving = -1;
  let least = Infinity;
  for (let r = 0; r < 4; r++) {
    const share = inverse[3][r];
    const change = column.reduce((sum, v, c) => sum + v * inverse[c][r], 0);
    if (change <= 1e-11) continue;
    const ratio = Math.max(0, share) / change;
    if (ratio < least) {
      least = ratio;
      leaving = r;
    }
  }
  return leaving;
}

/** Inverse of the matrix of four rows, by elimination with row exchange; not finite where it has none. */
function inverted(rows: readonly (readonly number[])[]): number[][] {
  const work = rows.map((row, r) => [...row, ...[0, 1, 2, 3].map((c) => (c === r ? 1 : 0))]);
  for (let c = 0; c < 4; c++) {
    let pivot = c;
    for (let r = c + 1; r < 4; r++) if (Math.abs(work[r][c]) > Math.abs(work[pivot][c])) pivot = r;
    [work[c], work[pivot]] = [work[pivot], work[c]];
    const scale = work[c][c];
    for (let k = 0; k < 8; k++) work[c][k] /= scale;
    for (let r = 0; r < 4; r++) {
      if (r === c) continue;
      const share = work[r][c];
      for (let k = 0; k < 8; k++) work[r][k] -= share * work[c][k];
    }
  }
  return work.map((row) => row.slice(4));
}
