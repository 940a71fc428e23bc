import { type Kysely, type Selectable, sql } from 'kysely';
import type { Shot } from '#core/surface/types.ts';
import type { Surface, SurfacePatch } from '#shared/surface.ts';
import { cellOf, cellRunsWithin } from './cell.ts';
import { keeper } from './kept.ts';
import { cutPage, inChunks } from './list.ts';
import { lockProject } from './plans.ts';
import type { ProjectHead } from './projects.ts';
import { noteDeleted } from './staging/changes.ts';
import type { ShotsTable, SurfacesTable, Tables } from './tables.ts';

export interface SurfaceShot extends Shot {
  surface: string;
  /** Tells shots of one name apart, counted from 0 in the order of the file. */
  ordinal: number;
}

/** A surface without what plans make of it. */
export type StoredSurface = Omit<Surface, 'use' | 'coverCount'>;

/** What a project was like when its surfaces were asked for: every change to shots counts the inputs on. */
type SeenProject = Pick<ProjectHead, 'agencyId' | 'id' | 'createdAt' | 'inputRevision'>;

const shotCounts = keeper<Map<string, number>>();

/** Shots are counted once for each revision of the inputs, since a city has millions. `project`: read before. */
export async function listSurfaces(
  db: Kysely<Tables>,
  { agencyId, id: projectId, createdAt, inputRevision }: SeenProject,
): Promise<StoredSurface[]> {
  const key = { agencyId, projectId };
  const asked = { name: JSON.stringify([agencyId, projectId]), token: `${createdAt} ${inputRevision}` };
  const counts = await shotCounts(db, asked, () => countShots(db, key));
  const rows = await db
    .selectFrom('surfaces')
    .selectAll()
    .where('agency_id', '=', agencyId)
    .where('project_id', '=', projectId)
    .orderBy('created_at')
    .orderBy('surface_id')
    .execute();
  return rows.map((row) => ({ ...toHead(row), shotCount: counts.get(row.surface_id) ?? 0 }));
}

async function countShots(
  db: Kysely<Tables>,
  { agencyId, projectId }: Omit<ShotPlace, 'surfaceId'>,
): Promise<Map<string, number>> {
  const rows = await db
    .selectFrom('shots')
    .select((eb) => ['surface_id', eb.fn.countAll<number>().as('count')])
    .where('agency_id', '=', agencyId)
    .where('project_id', '=', projectId)
    .groupBy('surface_id')
    .execute();
  return new Map(rows.map(({ surface_id, count }) => [surface_id, count]));
}

/** A surface as planning asks for it: counting the shots of a whole city takes longer than planning a street of it. */
export type SurfaceHead = Omit<StoredSurface, 'shotCount'> & { hasShots: boolean };

export async function listSurfaceHeads(
  db: Kysely<Tables>,
  { agencyId, projectId }: { agencyId: string; projectId: string },
): Promise<SurfaceHead[]> {
  const rows = await db
    .selectFrom('surfaces')
    .selectAll()
    .select(
      sql<boolean>`exists (select 1 from shots where shots.agency_id = surfaces.agency_id
        and shots.project_id = surfaces.project_id and shots.surface_id = surfaces.surface_id)`.as(
        'has_shots',
      ),
    )
    .where('agency_id', '=', agencyId)
    .where('project_id', '=', projectId)
    .orderBy('created_at')
    .orderBy('surface_id')
    .execute();
  return rows.map((row) => ({ ...toHead(row), hasShots: row.has_shots }));
}

/** Whether a project has a surface: nothing is counted for that. */
export async function hasSurface(
  db: Kysely<Tables>,
  { agencyId, projectId, surfaceId }: ShotPlace,
): Promise<boolean> {
  const row = await db
    .selectFrom('surfaces')
    .select('surface_id')
    .where('agency_id', '=', agencyId)
    .where('project_id', '=', projectId)
    .where('surface_id', '=', surfaceId)
    .executeTakeFirst();
  return row !== undefined;
}

export async function findSurface(
  db: Kysely<Tables>,
  project: SeenProject,
  surfaceId: string,
): Promise<StoredSurface | null> {
  const surfaces = await listSurfaces(db, project);
  return surfaces.find(({ id }) => id === surfaceId) ?? null;
}

interface ShotPlace {
  agencyId: string;
  projectId: string;
  surfaceId: string;
}

/** Where a shot stands in its surface: place by place, then by name. */
export type ShotPosition = readonly [cell: number, point: string, ordinal: number];

export async function listShots(
  db: Kysely<Tables>,
  { agencyId, projectId, surfaceId }: ShotPlace,
  { after, limit }: { after: ShotPosition | null; limit: number },
): Promise<{ items: SurfaceShot[]; last: ShotPosition | null }> {
  let query = db
    .selectFrom('shots')
    .selectAll()
    .where('agency_id', '=', agencyId)
    .where('project_id', '=', projectId)
    .where('surface_id', '=', surfaceId);
  if (after) {
    const [cell, point, ordinal] = after;
    query = query.where(sql<boolean>`(cell, point, ordinal) > (${cell}::bigint, ${point}, ${ordinal})`);
  }
  const found = await query
    .orderBy('cell')
    .orderBy('point')
    .orderBy('ordinal')
    .limit(limit + 1)
    .execute();
  const { rows, last } = cutPage(found, limit);
  return { items: rows.map(toShot), last: last ? [last.cell, last.point, last.ordinal] : null };
}

/** Shots of every surface of a project within `reachM` of a place in its grid, nearest first. */
export async function findShotsNear(
  db: Kysely<Tables>,
  { agencyId, projectId }: { agencyId: string; projectId: string },
  { east, north, reachM }: { east: number; north: number; reachM: number },
): Promise<(SurfaceShot & { distance: number })[]> {
  const runs = cellRunsWithin(east, north, reachM);
  const rows = await db
    .selectFrom('surfaces')
    .innerJoin('shots', (join) =>
      join
        .onRef('shots.agency_id', '=', 'surfaces.agency_id')
        .onRef('shots.project_id', '=', 'surfaces.project_id')
        .onRef('shots.surface_id', '=', 'surfaces.surface_id'),
    )
    .selectAll('shots')
    .where('surfaces.agency_id', '=', agencyId)
    .where('surfaces.project_id', '=', projectId)
    .where((eb) => eb.or(runs.map((run) => eb.between('shots.cell', run.from, run.to))))
    .execute();
  return rows
    .map(toShot)
    .map((shot) => ({ ...shot, distance: Math.hypot(shot.east - east, shot.north - north) }))
    .filter((shot) => shot.distance <= reachM)
    .sort((a, b) => a.distance - b.distance || (a.point < b.point ? -1 : 1));
}

function toShot(row: Selectable<ShotsTable>): SurfaceShot {
  return {
    point: row.point,
    east: row.easting_m,
    north: row.northing_m,
    elevation: row.elevation_m,
    code: row.code,
    role: row.role,
    sigma: row.sigma_m,
    surface: row.surface_id,
    ordinal: row.ordinal,
  };
}

function toHead(row: Selectable<SurfacesTable>): Omit<StoredSurface, 'shotCount'> {
  return {
    id: row.surface_id,
    name: row.name,
    form: row.form,
    stage: row.stage,
    lift: row.lift,
    epoch: row.epoch,
    elevationUnit: row.elevation_unit,
    verticalDatum: row.vertical_datum,
    method: row.method,
    faceCount: row.face_count,
    createdAt: row.created_at.toISOString(),
    version: row.version,
  };
}

/** false where the surface is no longer at the version of `before`. */
export async function updateSurface(
  db: Kysely<Tables>,
  { agencyId, projectId }: Omit<ShotPlace, 'surfaceId'>,
  before: StoredSurface,
  { verticalDatum, ...change }: SurfacePatch,
): Promise<boolean> {
  const result = await db
    .updateTable('surfaces')
    .set({
      ...change,
      ...(verticalDatum === undefined ? {} : { vertical_datum: verticalDatum }),
      version: before.version + 1,
    })
    .where('agency_id', '=', agencyId)
    .where('project_id', '=', projectId)
    .where('surface_id', '=', before.id)
    .where('version', '=', before.version)
    .executeTakeFirst();
  return result.numUpdatedRows > 0n;
}

/**
 * A surface with its shots or faces goes; false where it is no longer at the version of `before`. Imports that laid
 * something on it have nothing of it to take back any more.
 */
export async function deleteSurface(
  db: Kysely<Tables>,
  key: Omit<ShotPlace, 'surfaceId'>,
  before: Pick<StoredSurface, 'id' | 'version'>,
): Promise<boolean> {
  const { agencyId, projectId } = key;
  // An import into the project waits for the end of this, and this for the end of it.
  await lockProject(db, key);
  const result = await db
    .deleteFrom('surfaces')
    .where('agency_id', '=', agencyId)
    .where('project_id', '=', projectId)
    .where('surface_id', '=', before.id)
    .where('version', '=', before.version)
    .executeTakeFirst();
  if (result.numDeletedRows === 0n) return false;
  await db
    .deleteFrom('shots')
    .where('agency_id', '=', agencyId)
    .where('project_id', '=', projectId)
    .where('surface_id', '=', before.id)
    .execute();
  await noteDeleted(db, key, { kind: 'surface', key: before.id });
  return true;
}

/** A surface with its shots in the caller's transaction; for many shots store/staging/shots.ts uses COPY. */
export async function insertSurface(
  db: Kysely<Tables>,
  { agencyId, projectId, surfaceId }: ShotPlace,
  surface: Pick<Surface, 'name' | 'stage' | 'method'>,
  shots: readonly Shot[],
): Promise<void> {
  const key = { agency_id: agencyId, project_id: projectId, surface_id: surfaceId };
  await db
    .insertInto('surfaces')
    .values({ ...key, ...surface })
    .execute();
  const seen = new Map<string, number>();
  for (const chunk of inChunks(shots)) {
    const rows = chunk.map((shot) => {
      const ordinal = seen.get(shot.point) ?? 0;
      seen.set(shot.point, ordinal + 1);
      return {
        ...key,
        point: shot.point,
        ordinal,
        easting_m: shot.east,
        northing_m: shot.north,
        elevation_m: shot.elevation,
        code: shot.code,
        role: shot.role,
        sigma_m: shot.sigma,
        cell: cellOf(shot.east, shot.north),
      };
    });
    await db.insertInto('shots').values(rows).execute();
  }
}
