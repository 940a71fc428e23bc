import { minimaxPlane } from './minimax.ts';
import type { Place } from './nearShots.ts';
import { type DesignSurface, type FacePlane, facesAt, facesNear, hitsAmong } from './triangles.ts';
import type { BreakLine, FinishedGrade, Gradient, NoGrade } from './types.ts';

export { type DesignSurface, layOutDesign } from './triangles.ts';

export interface DesignLimits {
  /** Steeper faces are walls and curbs, no pavement: rise over run. */
  maxGradient: number;
  /** A face is a sliver when its height over its longest side is less than this share of that side ... */
  sliver: number;
  /** ... and less than this, in metres: the long thin faces of a gutter have a slope to be trusted. */
  sliverHeight: number;
  /** Longest side of a face that still counts as surveyed or designed, in metres; longer ones bridge a gap. */
  longestSide: number;
}

export const defaultDesignLimits: DesignLimits = {
  maxGradient: 0.25,
  sliver: 0.01,
  sliverHeight: 0.1,
  longestSide: 200,
};

/** Two faces at one place whose elevations differ by more lie over one another: 1 mm. */
const oneSurface = 0.001;
/** Faces whose gradients differ by more meet in a break line: 0.1 %. */
const leastBend = 0.001;

export interface SurfacePoint {
  elevation: number;
  /** Gradients of the faces that hold the place, alike ones once: several on a break line. */
  gradients: Gradient[];
}

/** The surface at a place, answered once on a shared side or corner; or why there is no answer. */
export function surfaceAt(surface: DesignSurface, east: number, north: number): SurfacePoint | NoGrade {
  const hits = facesAt(surface, east, north);
  if (hits.length === 0) return refuse('the place lies outside the surface');
  const over = whyOverlapping(hits.map((h) => h.elevation));
  if (over) return refuse(over);
  const gradients: Gradient[] = [];
  for (const { gradient } of hits) {
    if (!gradients.some((g) => bendBetween(g, gradient) <= leastBend)) gradients.push(gradient);
  }
  return { elevation: hits[0].elevation, gradients };
}

function refuse(detail: string): NoGrade {
  return { reason: 'noDesign', detail };
}

function whyOverlapping(elevations: readonly number[]): string | null {
  const apart = Math.max(...elevations) - Math.min(...elevations);
  if (apart <= oneSurface) return null;
  return `faces lie over one another here, ${apart.toFixed(3)} m apart`;
}

function bendBetween(a: Gradient, b: Gradient): number {
  return Math.hypot(a[0] - b[0], a[1] - b[1]);
}

/** Why a face is no pavement, in words; null where it is. */
function whyNotPavement({ e, n, a, b, area }: FacePlane, limits: DesignLimits): string | null {
  const longest = Math.max(...e.map((_, k) => Math.hypot(e[(k + 1) % 3] - e[k], n[(k + 1) % 3] - n[k])));
  const percent = (ratio: number) => `${(100 * ratio).toFixed(1)} %`;
  if (longest > limits.longestSide)
    return `a face with a side of ${longest.toFixed(1)} m bridges a gap (limit ${limits.longestSide} m)`;
  const height = Math.abs(area) / longest;
  if (height < limits.sliver * longest && height < limits.sliverHeight)
    return `a sliver of a face, ${height.toPrecision(2)} m high on ${longest.toFixed(1)} m, too thin to trust its slope`;
  const slope = Math.hypot(a, b);
  return slope > limits.maxGradient
    ? `a face that falls ${percent(slope)} (limit ${percent(limits.maxGradient)})`
    : null;
}

/** Clock positions looked at round the rim. */
const clockPositions = 72;
/** A design that leaves one plane by more than this under a rim is a break line an engineer has to look at: 1 mm. */
const overLineMisfit = 0.001;

interface UnderRim {
  /** Places from the rim's centre, and elevations there; the first is the centre itself. */
  x: number[];
  y: number[];
  z: number[];
  /** Faces that the rim touches, and all that come near it. */
  faces: Set<number>;
  near: FacePlane[];
}

/**
 * Finished grade from a design surface: the containing face's plane where the whole rim lies in one plane, else the
 * plane with the least greatest misfit to the faces under the rim, that misfit, and the break line it comes from.
 * Outside the surface, on a sliver, a wall, a face that bridges a gap or faces over one another there is no answer.
 * A design has no survey error: sigma 0.
 */
export function finishedFromDesign(
  surface: DesignSurface,
  place: Place,
  limits: DesignLimits = defaultDesignLimits,
): FinishedGrade | NoGrade {
  const centre = surfaceAt(surface, place.east, place.north);
  if ('reason' in centre) return centre;
  const under = lookUnderRim(surface, place);
  if ('reason' in under) return under;
  const touched = under.near.filter((plane) => under.faces.has(plane.face));
  for (const plane of touched) {
    const fault = whyNotPavement(plane, limits);
    if (fault) return refuse(fault);
  }
  const base = centre.elevation;
  const plane = minimaxPlane(
    under.x,
    under.y,
    under.z.map((v) => v - base),
  );
  if (!plane && centre.gradients.length > 1)
    return refuse('on a break line a rim without width has no grade of its own');
  const flat = !plane || plane.misfit < 1e-6;
  return {
    elevation: flat ? base : base + plane.level,
    gradient: flat ? centre.gradients[0] : [plane.east, plane.north],
    sigma: 0,
    sigmaRim: 0,
    method: !flat && plane.misfit > overLineMisfit ? 'compromise' : 'design',
    surface: surface.name,
    shotsUsed: 0,
    points: [],
    rejected: [],
    reach: 0,
    nearest: 0,
    breakLine: nearestBreak(place, touched),
    unitVariance: 1,
    misfit: flat ? 0 : plane.misfit,
  };
}

/** Elevations at the centre, round the rim and at the corners under it, and the faces they come from. */
function lookUnderRim(surface: DesignSurface, { east, north, rimRadius }: Place): UnderRim | NoGrade {
  const near = facesNear(surface, east, north, rimRadius);
  const under: UnderRim = { x: [], y: [], z: [], faces: new Set(), near };
  for (let i = -1; i < clockPositions; i++) {
    const radius = i < 0 ? 0 : rimRadius;
    const angle = (2 * Math.PI * i) / clockPositions;
    const dx = radius * Math.sin(angle);
    const dy = radius * Math.cos(angle);
    const hits = hitsAmong(near, east + dx, north + dy);
    if (hits.length === 0) return refuse('the rim reaches past the edge of the surface');
    const over = whyOverlapping(hits.map((h) => h.elevation));
    if (over) return refuse(over);
    for (const hit of hits) under.faces.add(hit.face);
    under.x.push(dx);
    under.y.push(dy);
    under.z.push(hits[0].elevation);
  }
  addCorners(surface, { east, north, rimRadius }, under);
  return under;
}

/** Corners of faces that lie under the rim: there the surface bends most. Faces that meet in them are looked at too. */
function addCorners(
  surface: DesignSurface,
  { east, north, rimRadius }: Omit<Place, 'roadBearing'>,
  { x, y, z, faces, near }: UnderRim,
): void {
  const seen = new Set<number>();
  // A set hands out what is added to it on the way.
  for (const face of faces) {
    for (const i of surface.faces.subarray(3 * face, 3 * face + 3)) {
      const dx = surface.east[i] - east;
      const dy = surface.north[i] - north;
      if (seen.has(i) || Math.hypot(dx, dy) > rimRadius) continue;
      seen.add(i);
      x.push(dx);
      y.push(dy);
      z.push(surface.elevation[i]);
      for (const hit of hitsAmong(near, surface.east[i], surface.north[i])) faces.add(hit.face);
    }
  }
}

/** The nearest side under the rim where two faces of different gradient meet. */
function nearestBreak(place: Place, faces: readonly FacePlane[]): BreakLine | null {
  const sides = new Map<string, FacePlane>();
  let best: BreakLine | null = null;
  for (const plane of faces) {
    const { e, n } = plane;
    for (let k = 0; k < 3; k++) {
      const m = (k + 1) % 3;
      // Neighbours may each have a point of their own at one place, so sides are told by where they lie.
      const ends = [`${e[k]},${n[k]}`, `${e[m]},${n[m]}`].sort().join(' ');
      const other = sides.get(ends);
      sides.set(ends, plane);
      if (!other || bendBetween([plane.a, plane.b], [other.a, other.b]) <= leastBend) continue;
      const line = lineTo(place, [e[k], n[k]], [e[m], n[m]]);
      if (line.distance <= place.rimRadius && (!best || line.distance < best.distance)) best = line;
    }
  }
  return best;
}

function lineTo({ east, north }: Place, [e1, n1]: [number, number], [e2, n2]: [number, number]): BreakLine {
  const [de, dn] = [e2 - e1, n2 - n1];
  const along = ((east - e1) * de + (north - n1) * dn) / (de * de + dn * dn);
  const share = Math.min(1, Math.max(0, along));
  const [x, y] = [e1 + share * de - east, n1 + share * dn - north];
  return { kind: 'found', distance: Math.hypot(x, y), azimuth: Math.atan2(x, y) };
}
