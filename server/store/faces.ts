import { type Kysely, sql } from 'kysely';
import type { Tables } from './tables.ts';

/** Faces of one surface: points east, north, elevation in metres of the project's grid; three indices a face. */
export interface Faces {
  points: Float64Array;
  faces: Uint32Array;
}

export interface SurfaceKey {
  agencyId: string;
  projectId: string;
  surfaceId: string;
}

/** Faces in one row: about half a megabyte, so that no statement is large whatever the surface. */
const facesInBlock = 20_000;

/** The faces of one row, with the bounds of their points. */
export interface Block extends Faces {
  west: number;
  south: number;
  east: number;
  north: number;
}

/** Cuts a surface into blocks that each have the points of their own faces, in the order of the faces. */
export function* cutIntoBlocks({ points, faces }: Faces): Generator<Block> {
  const size = 3 * facesInBlock;
  for (let start = 0; start < faces.length; start += size) {
    const corners = faces.subarray(start, start + size);
    const numbers = new Map<number, number>();
    const own = Uint32Array.from(corners, (corner) => {
      const known = numbers.get(corner);
      if (known !== undefined) return known;
      numbers.set(corner, numbers.size);
      return numbers.size - 1;
    });
    const places = new Float64Array(3 * numbers.size);
    for (const [corner, number] of numbers) {
      places.set(points.subarray(3 * corner, 3 * corner + 3), 3 * number);
    }
    yield { points: places, faces: own, ...boundsOf(places) };
  }
}

/** The rectangle that holds the points of a block. */
export function boundsOf(points: Float64Array): Omit<Block, 'points' | 'faces'> {
  const bounds = { west: Infinity, south: Infinity, east: -Infinity, north: -Infinity };
  for (let at = 0; at + 2 < points.length; at += 3) {
    bounds.west = Math.min(bounds.west, points[at]);
    bounds.east = Math.max(bounds.east, points[at]);
    bounds.south = Math.min(bounds.south, points[at + 1]);
    bounds.north = Math.max(bounds.north, points[at + 1]);
  }
  return bounds;
}

/** Puts faces in place of those that the surface had, in the caller's transaction. The surface's row is there. */
export async function replaceFaces(
  db: Kysely<Tables>,
  key: SurfaceKey,
  faces: Faces,
  importBatchId: string | null = null,
): Promise<void> {
  await replaceBlocks(db, key, cutIntoBlocks(faces), importBatchId);
}

/** As replaceFaces, of a surface that comes in blocks and is in memory at no time as a whole. */
export async function replaceBlocks(
  db: Kysely<Tables>,
  { agencyId, projectId, surfaceId }: SurfaceKey,
  blocks: Iterable<Block> | AsyncIterable<Block>,
  importBatchId: string | null,
): Promise<void> {
  const key = { agency_id: agencyId, project_id: projectId, surface_id: surfaceId };
  await db
    .deleteFrom('face_blocks')
    .where('agency_id', '=', agencyId)
    .where('project_id', '=', projectId)
    .where('surface_id', '=', surfaceId)
    .execute();
  let block = 0;
  let faceCount = 0;
  for await (const { points, faces: corners, west, south, east, north } of blocks) {
    faceCount += corners.length / 3;
    await db
      .insertInto('face_blocks')
      .values({
        ...key,
        block: block++,
        points: toBytes(points),
        faces: toBytes(corners),
        face_count: corners.length / 3,
        west_m: west,
        south_m: south,
        east_m: east,
        north_m: north,
        import_batch_id: importBatchId,
      })
      .execute();
  }
  await db
    .updateTable('surfaces')
    .set({ form: 'faces', face_count: faceCount })
    .where('agency_id', '=', agencyId)
    .where('project_id', '=', projectId)
    .where('surface_id', '=', surfaceId)
    .execute();
}

/** A text that is another for other faces of a project, whatever surface they are of. */
export async function digestFaces(
  db: Kysely<Tables>,
  { agencyId, projectId }: Omit<SurfaceKey, 'surfaceId'>,
): Promise<string> {
  const row = await db
    .selectFrom('face_blocks')
    .select(
      sql<
        string | null
      >`md5(string_agg(surface_id || md5(points) || md5(faces), '' order by surface_id, block))`.as('digest'),
    )
    .where('agency_id', '=', agencyId)
    .where('project_id', '=', projectId)
    .executeTakeFirst();
  return row?.digest ?? '';
}

/** A rectangle in metres of the project's grid. */
interface Box {
  west: number;
  south: number;
  east: number;
  north: number;
}

/**
 * Faces of a surface, in the order that they were given in; points on the seam of two blocks stand twice. `box`: with all
 * that touch it, and maybe some that do not; absent for all of the surface.
 */
export async function loadFaces(
  db: Kysely<Tables>,
  { agencyId, projectId, surfaceId }: SurfaceKey,
  box?: Box,
): Promise<Faces> {
  let blocksOf = db
    .selectFrom('face_blocks')
    .select(['points', 'faces'])
    .where('agency_id', '=', agencyId)
    .where('project_id', '=', projectId)
    .where('surface_id', '=', surfaceId);
  if (box) {
    blocksOf = blocksOf
      .where('west_m', '<=', box.east)
      .where('east_m', '>=', box.west)
      .where('south_m', '<=', box.north)
      .where('north_m', '>=', box.south);
  }
  const rows = await blocksOf.orderBy('block').execute();
  const blocks = rows.map((row) => ({
    points: new Float64Array(copyOf(row.points)),
    faces: new Uint32Array(copyOf(row.faces)),
  }));
  const total = (count: (block: Faces) => number) => blocks.reduce((sum, block) => sum + count(block), 0);
  const points = new Float64Array(total((block) => block.points.length));
  const faces = new Uint32Array(total((block) => block.faces.length));
  let [point, face] = [0, 0];
  for (const block of blocks) {
    points.set(block.points, point);
    const first = point / 3;
    for (const corner of block.faces) faces[face++] = corner + first;
    point += block.points.length;
  }
  return { points, faces };
}

// Every platform that Node runs on here is little-endian, as the column says.
const toBytes = (array: Float64Array | Uint32Array): Buffer =>
  Buffer.from(array.buffer, array.byteOffset, array.byteLength);

/** The bytes in a buffer of their own: a row's bytes may start anywhere, numbers must not. */
const copyOf = (bytes: Uint8Array): ArrayBuffer => new Uint8Array(bytes).buffer;
