import type { ZonePolygon, ZoneRing } from './types.ts';

/** A place nearer to an edge than this is on it: 1 mm. */
export const onEdge = 0.001;

export type Side = 'inside' | 'outside' | 'edge';

/** Least distance from a place to the edges of polygons, in metres; Infinity where there are none. */
export function distanceToEdge(polygons: readonly ZonePolygon[], east: number, north: number): number {
  let least = Infinity;
  for (const ring of polygons.flat()) {
    for (let i = 1; i < ring.length; i++) least = Math.min(least, toSide(ring[i - 1], ring[i], east, north));
  }
  return least;
}

type Corner = ZoneRing[number];

function toSide([e1, n1]: Corner, [e2, n2]: Corner, east: number, north: number): number {
  const [de, dn, pe, pn] = [e2 - e1, n2 - n1, east - e1, north - n1];
  const square = de * de + dn * dn;
  const along = square === 0 ? 0 : Math.max(0, Math.min(1, (pe * de + pn * dn) / square));
  return Math.hypot(pe - along * de, pn - along * dn);
}

/**
 * Where a place lies: inside an outer ring and in none of its holes, each by the crossings of a ray to the east (odd
 * is inside). Places within a millimetre of an edge are told apart first, so that rounding never decides.
 */
export function sideOf(polygons: readonly ZonePolygon[], east: number, north: number): Side {
  if (distanceToEdge(polygons, east, north) <= onEdge) return 'edge';
  return polygons.some((polygon) => isInside(polygon, east, north)) ? 'inside' : 'outside';
}

function isInside([outer, ...holes]: ZonePolygon, east: number, north: number): boolean {
  return isWithin(outer, east, north) && !holes.some((hole) => isWithin(hole, east, north));
}

function isWithin(ring: ZoneRing, east: number, north: number): boolean {
  let inside = false;
  for (let i = 1; i < ring.length; i++) {
    const [e1, n1] = [ring[i - 1][0] - east, ring[i - 1][1] - north];
    const [e2, n2] = [ring[i][0] - east, ring[i][1] - north];
    if (n1 > 0 === n2 > 0) continue;
    // The side crosses the ray's line where its easting is e1 + (e2 - e1) n1 / (n1 - n2).
    if (e1 * (n1 - n2) + (e2 - e1) * n1 > 0 === n1 > n2) inside = !inside;
  }
  return inside;
}

/** Twice the area of a ring, positive where it goes counter-clockwise. */
export function twiceArea(ring: ZoneRing): number {
  const [east, north] = ring[0];
  let sum = 0;
  for (let i = 1; i < ring.length; i++) {
    const [e1, n1] = [ring[i - 1][0] - east, ring[i - 1][1] - north];
    const [e2, n2] = [ring[i][0] - east, ring[i][1] - north];
    sum += e1 * n2 - e2 * n1;
  }
  return sum;
}

/** Corners of a ring at most: it is drawn by hand or exported from a plan, and every pair of sides is looked at. */
export const mostCorners = 2000;

/** Why a ring bounds no area, in words; null where it does. */
export function faultOfRing(ring: ZoneRing): string | null {
  const last = ring.length - 1;
  if (ring.length < 4) return 'needs at least three corners and the first one again';
  if (ring.length > mostCorners) return `has ${ring.length} corners; at most ${mostCorners} are taken`;
  if (ring[0][0] !== ring[last][0] || ring[0][1] !== ring[last][1])
    return 'does not close: the last corner must repeat the first';
  for (let i = 1; i <= last; i++) {
    for (let k = i + 2; k <= last; k++) {
      if (i === 1 && k === last) continue;
      if (cross(ring[i - 1], ring[i], ring[k - 1], ring[k])) return `crosses itself: sides ${i} and ${k}`;
    }
  }
  return Math.abs(twiceArea(ring)) < 2 ? 'holds less than a square metre' : null;
}

/** Do two sides cross in their insides? Sides that only touch make no wrong area. */
function cross(a: Corner, b: Corner, c: Corner, d: Corner): boolean {
  const turn = (p: Corner, q: Corner, r: Corner) =>
    Math.sign((q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0]));
  return turn(a, b, c) * turn(a, b, d) < 0 && turn(c, d, a) * turn(c, d, b) < 0;
}
