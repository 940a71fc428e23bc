/** Curves as chords: points on the curve so close that no chord leaves it by more than a tolerance. */

export type Place = readonly [x: number, y: number];

/** A curve is cut into at most so many chords, whatever it claims. */
const mostChords = 10_000;

/** Chords that keep an arc of this radius and sweep (radians) within `tolerance`; the sagitta is r (1 - cos(a/2)). */
export function chordsOf(radius: number, sweep: number, tolerance: number): number {
  const half = Math.acos(Math.max(0, 1 - tolerance / radius));
  return Math.min(mostChords, Math.max(1, Math.ceil(Math.abs(sweep) / (2 * half))));
}

export interface Arc {
  start: Place;
  end: Place;
  centre: Place;
  /** Counter-clockwise seen from above, x east and y north. */
  counterClockwise: boolean;
}

/** Angle an arc turns through, positive counter-clockwise; a full turn where start and end coincide. */
export function sweepOf({ start, end, centre, counterClockwise }: Arc): number {
  const from = Math.atan2(start[1] - centre[1], start[0] - centre[0]);
  const to = Math.atan2(end[1] - centre[1], end[0] - centre[0]);
  const full = 2 * Math.PI;
  const turn = (((to - from) % full) + full) % full;
  if (counterClockwise) return turn === 0 ? full : turn;
  return turn === 0 ? -full : turn - full;
}

/** Points of an arc after its start, up to and with its end, which is kept exactly. */
export function arcPoints(arc: Arc, tolerance: number): Place[] {
  const { start, end, centre } = arc;
  const sweep = sweepOf(arc);
  const from = Math.atan2(start[1] - centre[1], start[0] - centre[0]);
  const first = Math.hypot(start[0] - centre[0], start[1] - centre[1]);
  const last = Math.hypot(end[0] - centre[0], end[1] - centre[1]);
  const count = chordsOf(Math.max(first, last), sweep, tolerance);
  const points: Place[] = [];
  for (let i = 1; i < count; i++) {
    const share = i / count;
    const radius = first + share * (last - first);
    const angle = from + share * sweep;
    points.push([centre[0] + radius * Math.cos(angle), centre[1] + radius * Math.sin(angle)]);
  }
  points.push(end);
  return points;
}

/** Centre of the arc between two points with this radius; `major` for the one of more than half a turn. */
export function centreOf(
  start: Place,
  end: Place,
  { radius, counterClockwise, major }: { radius: number; counterClockwise: boolean; major: boolean },
): Place {
  const dx = end[0] - start[0];
  const dy = end[1] - start[1];
  const chord = Math.hypot(dx, dy);
  const along = Math.sqrt(Math.max(0, radius * radius - (chord * chord) / 4));
  // Left of the chord for a minor arc that turns left.
  const side = (counterClockwise === major ? -1 : 1) * (along / chord);
  return [(start[0] + end[0]) / 2 - side * dy, (start[1] + end[1]) / 2 + side * dx];
}

export interface Spiral {
  start: Place;
  end: Place;
  /** Signed curvature at the start and the end, positive turning left; 0 where it is straight. */
  curvature: readonly [start: number, end: number];
  length: number;
}

/**
 * Points of a clothoid (curvature changes evenly along it) after its start, up to and with its end. Length and
 * curvatures fix its shape, the two ends where it lies. Null where the shape does not reach from one to the other
 * within `tolerance`, so that something of it is wrong.
 */
export function clothoidPoints(spiral: Spiral, tolerance: number): Place[] | null {
  const { start, end, length, curvature } = spiral;
  const sharpest = Math.max(Math.abs(curvature[0]), Math.abs(curvature[1]));
  const step = Math.sqrt((8 * tolerance) / sharpest);
  const count = Math.min(mostChords, Math.max(2, Math.ceil(length / step)));
  const heading = (s: number) => curvature[0] * s + ((curvature[1] - curvature[0]) * s * s) / (2 * length);
  const shape: [number, number][] = [[0, 0]];
  const h = length / count;
  for (let i = 0; i < count; i++) {
    const [a, b, c] = [heading(i * h), heading((i + 0.5) * h), heading((i + 1) * h)];
    // Simpson's rule over one chord.
    const dx = (h / 6) * (Math.cos(a) + 4 * Math.cos(b) + Math.cos(c));
    const dy = (h / 6) * (Math.sin(a) + 4 * Math.sin(b) + Math.sin(c));
    shape.push([shape[i][0] + dx, shape[i][1] + dy]);
  }
  const [x, y] = shape[count];
  const dx = end[0] - start[0];
  const dy = end[1] - start[1];
  if (!(Math.abs(Math.hypot(x, y) - Math.hypot(dx, dy)) <= tolerance)) return null;
  const turn = Math.atan2(dy, dx) - Math.atan2(y, x);
  const [cos, sin] = [Math.cos(turn), Math.sin(turn)];
  const points = shape
    .slice(1, -1)
    .map(([u, v]): Place => [start[0] + u * cos - v * sin, start[1] + u * sin + v * cos]);
  return [...points, end];
}
