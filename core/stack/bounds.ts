import { type FlatTable, firstAtLeast } from './flats.ts';
import type { StackTarget } from './rigid.ts';

/** How the seat lies to the finished surface over it. */
export interface Lie {
  /** Angle between their normals, radians. */
  angle: number;
  /** Height against the surface, per metre along a normal of the surface. */
  steepness: number;
}

export function lieOf({ gradient: [a, b], seatGradient: [p, q] }: StackTarget): Lie {
  return {
    angle: Math.atan2(Math.hypot(b - q, p - a, p * b - q * a), 1 + a * p + b * q),
    steepness: Math.sqrt(1 + a * a + b * b),
  };
}

/** What a choice of tapered rings can come to, however they are turned and in either order. Metres. */
export interface Bounds {
  /** Error at the frame's axis while no flat ring lies under them, at least and at most. */
  low: number;
  high: number;
  /** What the tilt adds to it at the worst point of the rim, at least. */
  sway: number;
}

/**
 * Bounds of a choice, exact: every tapered ring turns the normal of what stands on it by the angle of its taper, so that after
 * all of them it lies no farther from the seat's than by their sum and no nearer than by their difference, and the sides of
 * a triangle on the sphere bound what is then left to the surface's normal.
 * @param angles of the tapers, radians. @param height of rings, joints and frame, metres.
 */
export function boundsOf(
  { rise, rimRadius }: StackTarget,
  { angle, steepness }: Lie,
  { angles, height }: { angles: { sum: number; difference: number }; height: number },
): Bounds {
  const nearest = Math.max(0, angle - angles.sum);
  const least = Math.max(nearest, angles.difference - angle);
  return {
    low: height * steepness * Math.cos(angle + angles.sum) - rise,
    high: height * steepness * Math.cos(nearest) - rise,
    sway: least < Math.PI / 2 ? rimRadius * steepness * Math.sin(least) : 0,
  };
}

/** What rounding may add to a bound, metres. */
const rounding = 1e-9;

/**
 * Can a choice within these bounds end within `limit` all round on at most `most` flat rings? `along`: height error per
 * metre of flat ring; `joints`: metres of joint that the table does not count.
 */
export function mayFit(
  { low, high, sway }: Bounds,
  flats: FlatTable,
  { limit, most, along, joints }: { limit: number; most: number; along: number; joints: number },
): boolean {
  const room = limit - sway + rounding;
  if (room < 0 || most < 0) return false;
  const from = (-room - high) / along - joints;
  const to = (room - low) / along - joints;
  for (let count = 0; count <= most && count < flats.byCount.length; count++) {
    const { height } = flats.byCount[count];
    const at = firstAtLeast(height, from);
    if (at < height.length && height[at] <= to) return true;
  }
  return false;
}
