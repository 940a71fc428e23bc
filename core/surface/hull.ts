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
  return Math.max(0, -depthInHull(x, y, n, use));
}

/** The last point seen in each quadrant, counter-clockwise. */
const corners = new Int32Array(4);

/**
 * By how much a circle of this radius about the origin stands out past the convex hull of points; 0 inside. Points are
 * best sorted by distance: the farthest of the four quadrants then mostly show at once that it does not.
 */
export function pastHull(
  radius: number,
  { x, y, n }: { x: ArrayLike<number>; y: ArrayLike<number>; n: number },
  use?: Uint8Array,
): number {
  corners.fill(-1);
  for (let i = 0; i < n; i++)
    if (!use || use[i] === 1) corners[x[i] >= 0 ? (y[i] >= 0 ? 0 : 3) : y[i] >= 0 ? 1 : 2] = i;
  let isInside = true;
  for (let k = 0; k < 4 && isInside; k++) {
    const a = corners[k];
    const b = corners[(k + 1) % 4];
    // Twice the triangle that the side makes with the origin: height times length. Not a number where a quadrant is empty.
    const twice = x[a] * y[b] - x[b] * y[a];
    isInside = twice > 0 && twice * twice >= radius * radius * ((x[b] - x[a]) ** 2 + (y[b] - y[a]) ** 2);
  }
  return isInside ? 0 : Math.max(0, radius - depthInHull(x, y, n, use));
}

/** How far inside the convex hull of points the origin lies, in their unit; outside it is negative, for none -Infinity. */
export function depthInHull(x: ArrayLike<number>, y: ArrayLike<number>, n: number, use?: Uint8Array): number {
  const indices: number[] = [];
  for (let i = 0; i < n; i++) if (!use || use[i] === 1) indices.push(i);
  if (indices.length === 0) return -Infinity;
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
  if (hull.length < 2) return -Math.hypot(x[indices[0]], y[indices[0]]);
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
  return inside ? nearest : -nearest;
}

function turn(x: ArrayLike<number>, y: ArrayLike<number>, a: number, b: number, c: number): number {
  return (x[b] - x[a]) * (y[c] - y[a]) - (y[b] - y[a]) * (x[c] - x[a]);
}
