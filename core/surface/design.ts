import { minimaxPlane } from './minimax.ts';
import type { Place } from './nearShots.ts';
import type { FinishedGrade, NoGrade } from './types.ts';

/** A triangulated design surface in grid metres, ready for look-ups. */
export interface DesignSurface {
  name: string;
  east: Float64Array;
  north: Float64Array;
  elevation: Float64Array;
  /** Three point indices a face. */
  faces: Uint32Array;
  /** Faces by cell of a square grid. */
  cells: Map<string, number[]>;
  cell: number;
}

export interface DesignLimits {
  /** Steeper faces are walls and curbs, no pavement: rise over run. */
  maxGradient: number;
  /** A face whose height over its longest side is less than this share of that side is a sliver. */
  sliver: number;
  /** Longest side of a face that still counts as surveyed or designed, in metres; longer ones bridge a gap. */
  longestSide: number;
}

export const defaultDesignLimits: DesignLimits = { maxGradient: 0.25, sliver: 0.01, longestSide: 100 };

/** Points nearer than this to a side are on it, in metres. */
const onSide = 1e-6;

/** Lay out a design surface; `points` are northing, easting, elevation in the unit of `metresPerUnit`. */
export function layOutDesign(
  name: string,
  points: readonly number[],
  faces: readonly number[],
  metresPerUnit: number,
): DesignSurface {
  const n = points.length / 3;
  const column = (k: number) => Float64Array.from({ length: n }, (_, i) => points[3 * i + k] * metresPerUnit);
  const north = column(0);
  const east = column(1);
  const spans = Array.from({ length: faces.length / 3 }, (_, f) => span(east, north, faces, f));
  const sizes = spans.map((s) => Math.max(s.right - s.left, s.top - s.bottom)).sort((a, b) => a - b);
  const cell = Math.max(1, sizes[sizes.length >> 1] ?? 1);
  const cells = new Map<string, number[]>();
  spans.forEach(({ left, right, bottom, top }, f) => {
    for (let i = Math.floor(left / cell); i <= Math.floor(right / cell); i++)
      for (let j = Math.floor(bottom / cell); j <= Math.floor(top / cell); j++) {
        const key = `${i},${j}`;
        const list = cells.get(key);
        if (list) list.push(f);
        else cells.set(key, [f]);
      }
  });
  return { name, east, north, elevation: column(2), faces: Uint32Array.from(faces), cells, cell };
}

function span(east: Float64Array, north: Float64Array, faces: readonly number[], f: number) {
  const corners = [faces[3 * f], faces[3 * f + 1], faces[3 * f + 2]];
  const e = corners.map((i) => east[i]);
  const n = corners.map((i) => north[i]);
  return { left: Math.min(...e), right: Math.max(...e), bottom: Math.min(...n), top: Math.max(...n) };
}

interface Hit {
  face: number;
  elevation: number;
  gradient: [number, number];
}

/** The faces that hold a place; several on a shared side or corner. */
function facesAt(surface: DesignSurface, east: number, north: number): Hit[] {
  const key = `${Math.floor(east / surface.cell)},${Math.floor(north / surface.cell)}`;
  const hits: Hit[] = [];
  for (const face of surface.cells.get(key) ?? []) {
    const plane = planeOf(surface, face);
    if (!plane) continue;
    const { e, n, z, a, b, area } = plane;
    let inside = true;
    for (let k = 0; k < 3 && inside; k++) {
      const m = (k + 1) % 3;
      const side = Math.hypot(e[m] - e[k], n[m] - n[k]);
      const cross = ((e[m] - e[k]) * (north - n[k]) - (n[m] - n[k]) * (east - e[k])) * Math.sign(area);
      inside = cross >= -onSide * side;
    }
    if (inside)
      hits.push({ face, elevation: z[0] + a * (east - e[0]) + b * (north - n[0]), gradient: [a, b] });
  }
  return hits;
}

function planeOf({ east, north, elevation, faces }: DesignSurface, face: number) {
  const corners = [faces[3 * face], faces[3 * face + 1], faces[3 * face + 2]];
  const e = corners.map((i) => east[i]);
  const n = corners.map((i) => north[i]);
  const z = corners.map((i) => elevation[i]);
  const area = (e[1] - e[0]) * (n[2] - n[0]) - (e[2] - e[0]) * (n[1] - n[0]);
  if (area === 0) return null;
  const a = ((z[1] - z[0]) * (n[2] - n[0]) - (z[2] - z[0]) * (n[1] - n[0])) / area;
  const b = ((e[1] - e[0]) * (z[2] - z[0]) - (e[2] - e[0]) * (z[1] - z[0])) / area;
  return { e, n, z, a, b, area };
}

/** Why a face is no pavement, in words; null where it is. */
function whyNotPavement(surface: DesignSurface, face: number, limits: DesignLimits): string | null {
  const plane = planeOf(surface, face);
  if (!plane) return 'a face without area';
  const { e, n, a, b, area } = plane;
  const longest = Math.max(...e.map((_, k) => Math.hypot(e[(k + 1) % 3] - e[k], n[(k + 1) % 3] - n[k])));
  const percent = (ratio: number) => `${(100 * ratio).toFixed(1)} %`;
  if (longest > limits.longestSide)
    return `a face with a side of ${longest.toFixed(1)} m bridges a gap (limit ${limits.longestSide} m)`;
  if (Math.abs(area) / longest < limits.sliver * longest)
    return 'a sliver of a face, too thin to trust its slope';
  const slope = Math.hypot(a, b);
  return slope > limits.maxGradient
    ? `a face that falls ${percent(slope)} (limit ${percent(limits.maxGradient)})`
    : null;
}

/** Clock positions looked at round the rim. */
const clockPositions = 72;

/**
 * Finished grade from a design surface: the containing face's plane where the whole rim lies in one plane, else the
 * plane with the least greatest misfit to the faces under the rim, and that misfit. Outside the surface, on a
 * sliver, a wall or a face that bridges a gap there is no answer. A design has no survey error: sigma 0.
 */
export function finishedFromDesign(
  surface: DesignSurface,
  place: Place,
  limits: DesignLimits = defaultDesignLimits,
): FinishedGrade | NoGrade {
  const refuse = (detail: string): NoGrade => ({ reason: 'noDesign', detail });
  const centre = facesAt(surface, place.east, place.north);
  if (centre.length === 0) return refuse('the place lies outside the surface');
  const x = [0];
  const y = [0];
  const z = [centre[0].elevation];
  const touched = new Set(centre.map((h) => h.face));
  for (let i = 0; i < clockPositions; i++) {
    const angle = (2 * Math.PI * i) / clockPositions;
    const dx = place.rimRadius * Math.sin(angle);
    const dy = place.rimRadius * Math.cos(angle);
    const hits = facesAt(surface, place.east + dx, place.north + dy);
    if (hits.length === 0) return refuse('the rim reaches past the edge of the surface');
    for (const hit of hits) touched.add(hit.face);
    x.push(dx);
    y.push(dy);
    z.push(hits[0].elevation);
  }
  for (const face of touched) {
    const fault = whyNotPavement(surface, face, limits);
    if (fault) return refuse(fault);
  }
  for (const face of touched) addCorners(surface, place, face, { x, y, z });
  const base = z[0];
  const plane = minimaxPlane(
    x,
    y,
    z.map((v) => v - base),
  );
  if (!plane) return refuse('the faces under the rim make no plane');
  const flat = plane.misfit < 1e-6;
  const [a, b] = flat ? centre[0].gradient : [plane.east, plane.north];
  return {
    elevation: flat ? centre[0].elevation : base + plane.level,
    gradient: [a, b],
    sigma: 0,
    sigmaRim: 0,
    method: plane.misfit > overLineMisfit ? 'compromise' : 'design',
    surface: surface.name,
    shotsUsed: 0,
    points: [],
    rejected: [],
    reach: 0,
    nearest: 0,
    breakLine: null,
    unitVariance: 1,
    misfit: flat ? 0 : plane.misfit,
  };
}

/** A design that leaves one plane by more than this under a rim is a break line an engineer has to look at: 1 mm. */
const overLineMisfit = 0.001;

/** Corners of a face that lie under the rim: there the surface bends most. */
function addCorners(
  { east, north, elevation, faces }: DesignSurface,
  place: Place,
  face: number,
  { x, y, z }: { x: number[]; y: number[]; z: number[] },
): void {
  for (let k = 0; k < 3; k++) {
    const i = faces[3 * face + k];
    const dx = east[i] - place.east;
    const dy = north[i] - place.north;
    if (Math.hypot(dx, dy) > place.rimRadius) continue;
    x.push(dx);
    y.push(dy);
    z.push(elevation[i]);
  }
}
