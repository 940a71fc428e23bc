/** A triangulated surface in grid metres, ready for look-ups. */
export interface DesignSurface {
  name: string;
  east: Float64Array;
  north: Float64Array;
  elevation: Float64Array;
  /** Three point indices a face. */
  faces: Uint32Array;
  index: FaceIndex;
}

/**
 * Faces by the cells of a square grid that their bounds touch. Cells share buckets, so a bucket may hold faces from
 * elsewhere too; faces over very many cells stand apart and are always looked at.
 */
interface FaceIndex {
  cell: number;
  /** Faces of bucket b: list[starts[b]] up to list[starts[b + 1]]. */
  starts: Uint32Array;
  list: Uint32Array;
  wide: number[];
}

/** Points x (east), y (north), z and faces as a file's reader gives them. */
export interface Triangulation {
  name: string;
  points: ArrayLike<number>;
  faces: ArrayLike<number>;
}

/** Faces that touch more cells than this are kept apart. */
const mostCells = 1024;
/** A bucket may hold a face of elsewhere, so a few more buckets than faces keep the lists short. */
const leastBuckets = 16;

/** Lay out a design surface whose coordinates are in the unit of `metresPerUnit`. */
export function layOutDesign({ name, points, faces }: Triangulation, metresPerUnit: number): DesignSurface {
  const column = (k: number) =>
    Float64Array.from({ length: points.length / 3 }, (_, i) => points[3 * i + k] * metresPerUnit);
  const surface = {
    name,
    east: column(0),
    north: column(1),
    elevation: column(2),
    faces: Uint32Array.from(faces),
  };
  return { ...surface, index: indexFaces(surface) };
}

type Shape = Omit<DesignSurface, 'index'>;

function indexFaces(surface: Shape): FaceIndex {
  const count = surface.faces.length / 3;
  const sizes = new Float64Array(count);
  for (let f = 0; f < count; f++) {
    const { left, right, bottom, top } = spanOf(surface, f);
    sizes[f] = Math.max(right - left, top - bottom);
  }
  const cell = Math.max(1, sizes.sort()[count >> 1] ?? 1);
  let buckets = leastBuckets;
  while (buckets < count) buckets *= 2;
  const starts = new Uint32Array(buckets + 1);
  const wide: number[] = [];
  // Twice over the faces: how many a bucket holds, then which.
  const visit = (f: number, take: (bucket: number) => void): boolean => {
    const { left, right, bottom, top } = spanOf(surface, f);
    const [i0, i1] = [Math.floor(left / cell), Math.floor(right / cell)];
    const [j0, j1] = [Math.floor(bottom / cell), Math.floor(top / cell)];
    if ((i1 - i0 + 1) * (j1 - j0 + 1) > mostCells) return false;
    for (let i = i0; i <= i1; i++) for (let j = j0; j <= j1; j++) take(bucketOf(i, j, buckets));
    return true;
  };
  for (let f = 0; f < count; f++) if (!visit(f, (b) => starts[b + 1]++)) wide.push(f);
  for (let b = 0; b < buckets; b++) starts[b + 1] += starts[b];
  const list = new Uint32Array(starts[buckets]);
  const next = starts.slice();
  for (let f = 0; f < count; f++)
    visit(f, (b) => {
      list[next[b]++] = f;
    });
  return { cell, starts, list, wide };
}

function bucketOf(i: number, j: number, buckets: number): number {
  return (Math.imul(i, 73856093) ^ Math.imul(j, 19349663)) & (buckets - 1);
}

function spanOf({ east, north, faces }: Shape, f: number) {
  const [p, q, r] = [faces[3 * f], faces[3 * f + 1], faces[3 * f + 2]];
  return {
    left: Math.min(east[p], east[q], east[r]),
    right: Math.max(east[p], east[q], east[r]),
    bottom: Math.min(north[p], north[q], north[r]),
    top: Math.max(north[p], north[q], north[r]),
  };
}

export interface Hit {
  face: number;
  elevation: number;
  /** dz/dE, dz/dN of the face. */
  gradient: readonly [number, number];
}

/** Points nearer than this to a side are on it, in metres. */
const onSide = 1e-6;

/** The faces that hold a place, in the order of the file; several on a shared side or corner. */
export function facesAt(surface: DesignSurface, east: number, north: number): Hit[] {
  return hitsAmong(facesNear(surface, east, north, 0), east, north);
}

/** Those of the faces that hold a place. */
export function hitsAmong(faces: readonly FacePlane[], east: number, north: number): Hit[] {
  const hits: Hit[] = [];
  for (const plane of faces) {
    if (!holds(plane, east, north)) continue;
    const { face, e, n, z, a, b } = plane;
    hits.push({ face, elevation: z[0] + a * (east - e[0]) + b * (north - n[0]), gradient: [a, b] });
  }
  return hits;
}

/** Faces with an area whose bounds come within `radius` of a place, in east and in north, in the order of the file. */
export function facesNear(surface: DesignSurface, east: number, north: number, radius: number): FacePlane[] {
  const { cell, starts, list, wide } = surface.index;
  const reach = radius + onSide;
  const found = new Set(wide);
  for (let i = Math.floor((east - reach) / cell); i <= Math.floor((east + reach) / cell); i++)
    for (let j = Math.floor((north - reach) / cell); j <= Math.floor((north + reach) / cell); j++) {
      const bucket = bucketOf(i, j, starts.length - 1);
      for (let at = starts[bucket]; at < starts[bucket + 1]; at++) found.add(list[at]);
    }
  const near: FacePlane[] = [];
  for (const face of [...found].sort((p, q) => p - q)) {
    const { left, right, bottom, top } = spanOf(surface, face);
    if (left > east + reach || right < east - reach || bottom > north + reach || top < north - reach)
      continue;
    const plane = planeOf(surface, face);
    if (plane) near.push(plane);
  }
  return near;
}

export interface FacePlane {
  face: number;
  e: number[];
  n: number[];
  z: number[];
  /** dz/dE and dz/dN. */
  a: number;
  b: number;
  /** Twice the area in plan, negative where the corners go clockwise. */
  area: number;
}

function holds({ e, n, area }: FacePlane, east: number, north: number): boolean {
  for (let k = 0; k < 3; k++) {
    const m = (k + 1) % 3;
    const side = Math.hypot(e[m] - e[k], n[m] - n[k]);
    const cross = ((e[m] - e[k]) * (north - n[k]) - (n[m] - n[k]) * (east - e[k])) * Math.sign(area);
    if (cross < -onSide * side) return false;
  }
  return true;
}

/** The plane of a face; null where it has no area in plan. */
export function planeOf({ east, north, elevation, faces }: Shape, face: number): FacePlane | null {
  const corners = [faces[3 * face], faces[3 * face + 1], faces[3 * face + 2]];
  const e = corners.map((i) => east[i]);
  const n = corners.map((i) => north[i]);
  const z = corners.map((i) => elevation[i]);
  const area = (e[1] - e[0]) * (n[2] - n[0]) - (e[2] - e[0]) * (n[1] - n[0]);
  if (area === 0) return null;
  const a = ((z[1] - z[0]) * (n[2] - n[0]) - (z[2] - z[0]) * (n[1] - n[0])) / area;
  const b = ((e[1] - e[0]) * (z[2] - z[0]) - (e[2] - e[0]) * (z[1] - z[0])) / area;
  return { face, e, n, z, a, b, area };
}

/** Area of all faces in plan, in square metres. */
export function planArea(surface: DesignSurface): number {
  let twice = 0;
  for (let f = 0; f < surface.faces.length / 3; f++) twice += Math.abs(planeOf(surface, f)?.area ?? 0);
  return twice / 2;
}
