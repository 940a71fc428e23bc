import type { Gradient } from '../surface/types.ts';

/** Road geometry at a place. Ratios (0.03 = 3 %), angle in radians. */
export interface RoadSlope {
  /** Rise per length along the bearing, up-station. */
  grade: number;
  /** Rise per length to the right, looking up-station. */
  crossSlope: number;
}

const fullTurn = 2 * Math.PI;

/** An azimuth brought into [0, 2 pi). */
export function normaliseAzimuth(azimuth: number): number {
  const turned = azimuth % fullTurn;
  const positive = turned < 0 ? turned + fullTurn : turned;
  return positive >= fullTurn ? 0 : positive;
}

export function radians(degrees: number): number {
  return (degrees * Math.PI) / 180;
}

export function degrees(angle: number): number {
  return (angle * 180) / Math.PI;
}

/** Gradient from grade and cross slope along a bearing clockwise from grid north: a = g sin + x cos, b = g cos - x sin. */
export function gradientFromRoad({ grade, crossSlope }: RoadSlope, bearing: number): Gradient {
  const sin = Math.sin(bearing);
  const cos = Math.cos(bearing);
  return [grade * sin + crossSlope * cos, grade * cos - crossSlope * sin];
}

/** The same gradient seen along a bearing: grade up-station, cross slope to the right. */
export function roadFromGradient([east, north]: Gradient, bearing: number): RoadSlope {
  const sin = Math.sin(bearing);
  const cos = Math.cos(bearing);
  return { grade: east * sin + north * cos, crossSlope: east * cos - north * sin };
}

/** Steepest rise over run. */
export function slopeOf([east, north]: Gradient): number {
  return Math.hypot(east, north);
}

/** Azimuth that points downhill, in [0, 2 pi); 0 for a level plane, which has none. */
export function fallAzimuth([east, north]: Gradient): number {
  return east === 0 && north === 0 ? 0 : normaliseAzimuth(Math.atan2(-east, -north));
}

/** Slope met when walking along an azimuth, + = rising: the apparent slope of the plane. */
export function slopeAlong([east, north]: Gradient, azimuth: number): number {
  return east * Math.sin(azimuth) + north * Math.cos(azimuth);
}

/** A slope measured along an azimuth, + = rising. */
export interface SlopeReading {
  slope: number;
  azimuth: number;
}

/**
 * The plane that shows two slopes along two azimuths; null when the azimuths are parallel or nearly so
 * (within about a tenth of a degree), where any error would grow more than 500 times.
 */
export function gradientFromTwoSlopes(one: SlopeReading, two: SlopeReading): Gradient | null {
  const determinant = Math.sin(one.azimuth - two.azimuth);
  if (Math.abs(determinant) < 0.002) return null;
  return [
    (one.slope * Math.cos(two.azimuth) - two.slope * Math.cos(one.azimuth)) / determinant,
    (two.slope * Math.sin(one.azimuth) - one.slope * Math.sin(two.azimuth)) / determinant,
  ];
}

/** A point in the project's grid, metres. */
export type Place = readonly [east: number, north: number, elevation: number];

/** The plane through three points; null when they lie on one line or closer than 1 in 1000 to it. */
export function gradientFromThreePoints(a: Place, b: Place, c: Place): Gradient | null {
  const [e1, n1, z1] = [b[0] - a[0], b[1] - a[1], b[2] - a[2]];
  const [e2, n2, z2] = [c[0] - a[0], c[1] - a[1], c[2] - a[2]];
  const area = e1 * n2 - e2 * n1;
  const longest = Math.max(e1 * e1 + n1 * n1, e2 * e2 + n2 * n2, (e1 - e2) ** 2 + (n1 - n2) ** 2);
  if (Math.abs(area) <= 0.001 * longest) return null;
  return [(z1 * n2 - z2 * n1) / area, (e1 * z2 - e2 * z1) / area];
}
