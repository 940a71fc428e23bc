import type { Facts, StraightedgeLine, StraightedgeReading } from '../field/facts.ts';
import type { AcceptancePolicy } from './types.ts';

/** A point of the surface along one line over cover and mat, metres. */
export interface ProfilePoint {
  /** Along the line. */
  x: number;
  z: number;
  on: 'mat' | 'casting';
}

/** Where the line shows most, and how much, metres. */
export interface Shown {
  size: number;
  /** Along the line; null for nothing. */
  at: number | null;
}

export interface ProfileReading {
  /** Under a straightedge of this length wherever it is laid, between two places that it touches. */
  gap: Shown;
  /** Of the casting over a straightedge that lies on the mat alone. */
  proud: Shown;
}

const nothing: Shown = { size: 0, at: null };

/**
 * What a straightedge of `length` shows along a surveyed profile. It rests on the upper convex hull of what is under it;
 * the gap is measured square to it, from hull to surface. null for fewer than two places along the line.
 */
export function readProfile(points: readonly ProfilePoint[], length: number): ProfileReading | null {
  const profile = [...points].sort((a, b) => a.x - b.x || a.z - b.z);
  if (profile.length === 0 || profile[0].x === profile.at(-1)!.x) return null;
  let gap = nothing;
  let proud = nothing;
  for (const [index, first] of profile.entries()) {
    const under = profile.slice(index).filter(({ x }) => x <= first.x + length + 1e-9);
    gap = more(gap, mostOff(upperHull(under), under, -1));
    const mat = upperHull(under.filter(({ on }) => on === 'mat'));
    proud = more(
      proud,
      mostOff(
        mat,
        under.filter(({ on }) => on === 'casting'),
        1,
      ),
    );
  }
  return { gap, proud };
}

const more = (a: Shown, b: Shown): Shown => (b.size > a.size ? b : a);

/** Andrew's monotone chain, the upper half, from left to right. */
function upperHull(points: readonly ProfilePoint[]): ProfilePoint[] {
  const hull: ProfilePoint[] = [];
  for (const point of points) {
    while (hull.length >= 2 && turn(hull[hull.length - 2], hull[hull.length - 1], point) >= 0) hull.pop();
    if (hull.length === 1 && hull[0].x === point.x) hull.pop();
    hull.push(point);
  }
  return hull;
}

const turn = (a: ProfilePoint, b: ProfilePoint, c: ProfilePoint) =>
  (b.x - a.x) * (c.z - a.z) - (b.z - a.z) * (c.x - a.x);

/** The point that lies farthest over (`side` 1) or under (-1) the edge laid on the hull, square to it. */
function mostOff(hull: readonly ProfilePoint[], points: readonly ProfilePoint[], side: 1 | -1): Shown {
  let most = nothing;
  for (const { x, z } of points) {
    const next = hull.findIndex((corner, index) => index > 0 && corner.x >= x);
    if (next < 0 || hull[next - 1].x > x) continue;
    const [a, b] = [hull[next - 1], hull[next]];
    const slope = (b.z - a.z) / (b.x - a.x);
    const size = (side * (z - a.z - slope * (x - a.x))) / Math.hypot(1, slope);
    most = more(most, { size, at: x });
  }
  return most;
}

/** A reading up to this counts as the edge resting there, metres. Common practice, no source: a sheet of paper. */
const resting = 2e-4;

/** Fewest readings of which a line is read off. */
export const fewestReadings = 3;

/** What one line shows. `isAfloat`: readings were taken, and of fewer than two places where the edge rests. */
export interface LineShown {
  gap: number;
  proud: number;
  isAfloat: boolean;
}

/**
 * What a line shows: its two figures, or what its readings come to. An edge at rest lies on two places, between which it
 * is on the hull of what is under it. Where none or one of these was read nobody knows how the edge lay: the largest
 * reading counts, and is never made smaller by the hull.
 */
export function shownBy({ gapM, proudM, readings }: StraightedgeLine, lengthM: number): LineShown {
  if (!readings || readingsFault(readings, lengthM)) return { gap: gapM, proud: proudM, isAfloat: false };
  const profile = readings.map(({ atM, downM, on }): ProfilePoint => ({ x: atM, z: -downM, on }));
  const { gap, proud } = readProfile(profile, lengthM)!;
  const isAfloat = readings.filter(({ downM }) => downM <= resting).length < 2;
  const largest = Math.max(...readings.map(({ downM }) => downM));
  return { gap: isAfloat ? Math.max(gap.size, largest) : gap.size, proud: proud.size, isAfloat };
}

/** Why these readings show no line; null where they do. */
export function readingsFault(readings: readonly StraightedgeReading[], lengthM: number): string | null {
  if (new Set(readings.map(({ atM }) => atM)).size !== readings.length) return 'a place is read twice';
  if (readings.some(({ atM }) => atM > lengthM + rounding)) return 'a place lies past the end of the edge';
  if (readings.length < fewestReadings) return `fewer than ${fewestReadings} places`;
  const isOn = (what: StraightedgeReading['on']) => readings.some(({ on }) => on === what);
  return isOn('mat') && isOn('casting') ? null : 'none on the mat or none on the casting';
}

/** A line as it is recorded, of readings along it; null where these show none. */
export function lineOf(readings: readonly StraightedgeReading[], lengthM: number): StraightedgeLine | null {
  if (readingsFault(readings, lengthM) !== null) return null;
  const line = { gapM: 0, proudM: 0, readings: [...readings] };
  const { gap, proud } = shownBy(line, lengthM);
  return { ...line, gapM: gap, proudM: proud };
}

/** One line against its limit. */
export interface JudgedLine {
  way: 'along' | 'across';
  gap: number;
  proud: number;
  limit: number;
  isOff: boolean;
  isAfloat: boolean;
}

export interface StraightedgeJudgement {
  lines: JudgedLine[];
  /** Ways that the policy asks for and nobody measured. */
  missing: ('along' | 'across')[];
  /** The edge that was laid is shorter than the policy's, and shows less. */
  isShort: boolean;
  length: number;
  wanted: number;
  isOff: boolean;
}

const rounding = 1e-6;

/**
 * Gaps and proud steps as typed at the hole, or read off a profile, against the policy: either past the limit of its way
 * is off. A limit of Infinity asks for nothing in that way.
 */
export function judgeStraightedge(
  { lengthM, along, across }: Facts['straightedge'],
  policy: NonNullable<AcceptancePolicy['straightedge']>,
): StraightedgeJudgement {
  const measured = { along, across };
  const asked = (['along', 'across'] as const).filter((way) => Number.isFinite(policy[way]));
  const lines = asked.flatMap((way): JudgedLine[] => {
    const line = measured[way];
    if (line === null) return [];
    const shown = shownBy(line, lengthM);
    const isOff = Math.max(shown.gap, shown.proud) > policy[way] + rounding;
    return [{ way, ...shown, limit: policy[way], isOff }];
  });
  return {
    lines,
    missing: asked.filter((way) => measured[way] === null),
    isShort: lengthM < policy.length - rounding,
    length: lengthM,
    wanted: policy.length,
    isOff: lines.some(({ isOff }) => isOff),
  };
}
