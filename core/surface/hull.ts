/**
 * Distance from the origin to the convex hull of points, in their unit; 0 inside.
 * `use` marks the points that count.
 */
export function distanceOutsideHull(
  x: ArrayLike<number>,
  y: ArrayLike<number>,
  n: number,
  use?: Uint8Array,
): number {
  let quadrants = 0;
  for (let i = 0; i < n; i++) {
    if (use && use[i] === 0) continue;
    quadrants |= x[i] >= 0 ? (y[i] >= 0 ? 1 : 2) : y[i] >= 0 ? 4 : 8;
  }
  if (quadrants === 15) return 0;
  const indices: number[] = [];
  for (let i = 0; i < n; i++) if (!use || use[i] === 1) indices.push(i);
  if (indices.length === 0) return Infinity;
  indices.sort((i, j) => x[i] - x[j] || y[i] - y[j]);
  // Andrew's monotone chain, counter-clockwise.
  const hull: number[] = [];
  for (const way of [indices, [...indices].reverse()]) {
    const floor = hull.length;
    for (const i of way) {
      while (hull.length >= floor + 2 && turn(x, y, hull[hull.length - 2], hull[hull.length - 1], i) <= 0)
        hull.pop();
      hull.push(i);
    }
    hull.pop();
  }
  if (hull.length < 2) return Math.hypot(x[indices[0]], y[indices[0]]);
  let inside = hull.length > 2;
  let nearest = Infinity;
  hull.forEach((a, k) => {
    const b = hull[(k + 1) % hull.length];
    const dx = x[b] - x[a];
    const dy = y[b] - y[a];
    if (dx * -y[a] - dy * -x[a] < 0) inside = false;
    const t = Math.max(0, Math.min(1, (-x[a] * dx - y[a] * dy) / (dx * dx + dy * dy)));
    nearest = Math.min(nearest, Math.hypot(x[a] + t * dx, y[a] + t * dy));
  });
  return inside ? 0 : nearest;
}

function turn(x: ArrayLike<number>, y: ArrayLike<number>, a: number, b: number, c: number): number {
  return (x[b] - x[a]) * (y[c] - y[a]) - (y[b] - y[a]) * (x[c] - x[a]);
}
