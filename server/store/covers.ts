import { type Kysely, type Selectable, sql } from 'kysely';
import type { CoverPlan } from '#core/plan/types.ts';
import type { FieldStatus } from '#shared/status.ts';
import type { Structure } from '#shared/structure.ts';
import { inChunks } from './list.ts';
import { toStructure } from './structures.ts';
import type { StructuresTable, Tables } from './tables.ts';

/** Where a structure stands in a project. Metres in the project's grid, degrees. */
export interface CoverPlace {
  structureId: string;
  eastingM: number;
  northingM: number;
  stationM: number | null;
  offsetM: number | null;
  /** Of the street's centre line there; used where the register has no bearing of its own. */
  roadBearingDeg: number | null;
}

export interface ProjectCover extends CoverPlace {
  structure: Structure;
  planRevision: number | null;
  outcome: CoverPlan | null;
  /** What the plan was made from changed after the stack was put together. */
  isStale: boolean;
  fieldStatus: FieldStatus | null;
  /** Records from the field contradict each other. */
  isConflict: boolean;
  crew: string | null;
  /** YYYY-MM-DD */
  night: string | null;
}

interface ProjectKey {
  agencyId: string;
  projectId: string;
}

/** The covers of these ids, in the order of the ids; those that are no covers of the project are absent. */
export async function findCoversOf(
  db: Kysely<Tables>,
  key: ProjectKey,
  ids: readonly string[],
): Promise<ProjectCover[]> {
  const rows = await coversOf(db, key)
    .where(sql<boolean>`cover.structure_id = any(${ids as string[]}::text[])`)
    .execute();
  const byId = new Map(rows.map((row) => [row.structure_id, row]));
  return ids.flatMap((id) => {
    const row = byId.get(id);
    return row ? [toCover(row)] : [];
  });
}

export async function findCover(
  db: Kysely<Tables>,
  key: ProjectKey,
  structureId: string,
): Promise<ProjectCover | null> {
  const row = await coversOf(db, key).where('cover.structure_id', '=', structureId).executeTakeFirst();
  return row ? toCover(row) : null;
}

/** Makes structures covers of a project, or moves those that are; true counts are the caller's to know. */
export async function upsertCovers(
  db: Kysely<Tables>,
  { agencyId, projectId }: ProjectKey,
  places: readonly CoverPlace[],
): Promise<number> {
  let changed = 0;
  for (const chunk of inChunks(places)) {
    const rows = chunk.map((place) => ({
      agency_id: agencyId,
      project_id: projectId,
      structure_id: place.structureId,
      easting_m: place.eastingM,
      northing_m: place.northingM,
      station_m: place.stationM,
      offset_m: place.offsetM,
      road_bearing_deg: place.roadBearingDeg,
    }));
    const result = await db
      .insertInto('project_covers')
      .values(rows)
      .onConflict((conflict) =>
        conflict
          .columns(['agency_id', 'project_id', 'structure_id'])
          .doUpdateSet((eb) => ({
            easting_m: eb.ref('excluded.easting_m'),
            northing_m: eb.ref('excluded.northing_m'),
            station_m: eb.ref('excluded.station_m'),
            offset_m: eb.ref('excluded.offset_m'),
            road_bearing_deg: eb.ref('excluded.road_bearing_deg'),
          }))
          .where(
            sql<boolean>`(project_covers.easting_m, project_covers.northing_m, project_covers.station_m,
              project_covers.offset_m, project_covers.road_bearing_deg) is distinct from
              (excluded.easting_m, excluded.northing_m, excluded.station_m, excluded.offset_m,
              excluded.road_bearing_deg)`,
          ),
      )
      .executeTakeFirst();
    changed += Number(result.numInsertedOrUpdatedRows ?? 0n);
  }
  return changed;
}

/** Where the covers of a project stand in its grid, metres. */
export async function listCoverPlaces(
  db: Kysely<Tables>,
  { agencyId, projectId }: ProjectKey,
): Promise<{ east: number; north: number }[]> {
  return db
    .selectFrom('project_covers')
    .select(['easting_m as east', 'northing_m as north'])
    .where('agency_id', '=', agencyId)
    .where('project_id', '=', projectId)
    .execute();
}

/** Ids of the given structures that are covers of the project already. */
export async function findCoverIds(
  db: Kysely<Tables>,
  { agencyId, projectId }: ProjectKey,
  ids: readonly string[],
): Promise<Set<string>> {
  const found = new Set<string>();
  for (const chunk of inChunks(ids, 10_000)) {
    const rows = await db
      .selectFrom('project_covers')
      .select('structure_id')
      .where('agency_id', '=', agencyId)
      .where('project_id', '=', projectId)
      .where('structure_id', 'in', chunk)
      .execute();
    for (const row of rows) found.add(row.structure_id);
  }
  return found;
}

/** Where the given structures stand in the project, by id; those that are no covers of it are absent. */
export async function findCoverPlaces(
  db: Kysely<Tables>,
  { agencyId, projectId }: ProjectKey,
  ids: readonly string[],
): Promise<Map<string, CoverPlace>> {
  const found = new Map<string, CoverPlace>();
  for (const chunk of inChunks(ids, 10_000)) {
    const rows = await db
      .selectFrom('project_covers')
      .select(['structure_id', 'easting_m', 'northing_m', 'station_m', 'offset_m', 'road_bearing_deg'])
      .where('agency_id', '=', agencyId)
      .where('project_id', '=', projectId)
      .where('structure_id', 'in', chunk)
      .execute();
    for (const row of rows) {
      found.set(row.structure_id, {
        structureId: row.structure_id,
        eastingM: row.easting_m,
        northingM: row.northing_m,
        stationM: row.station_m,
        offsetM: row.offset_m,
        roadBearingDeg: row.road_bearing_deg,
      });
    }
  }
  return found;
}

/** Projects that a structure is a cover of, with the cell of each project's grid that it is in. */
export async function listCellsOf(
  db: Kysely<Tables>,
  agencyId: string,
  structureId: string,
): Promise<{ projectId: string; cell: number }[]> {
  const rows = await db
    .selectFrom('project_covers')
    .select(['project_id', 'cell'])
    .where('agency_id', '=', agencyId)
    .where('structure_id', '=', structureId)
    .orderBy('project_id')
    .execute();
  return rows.map((row) => ({ projectId: row.project_id, cell: row.cell }));
}

function coversOf(db: Kysely<Tables>, { agencyId, projectId }: ProjectKey) {
  return db
    .selectFrom('project_covers as cover')
    .innerJoin('structures as structure', (join) =>
      join
        .onRef('structure.agency_id', '=', 'cover.agency_id')
        .onRef('structure.structure_id', '=', 'cover.structure_id'),
    )
    .leftJoin('plan_covers as plan', (join) =>
      join
        .onRef('plan.agency_id', '=', 'cover.agency_id')
        .onRef('plan.project_id', '=', 'cover.project_id')
        .onRef('plan.structure_id', '=', 'cover.structure_id')
        .onRef('plan.revision', '=', 'cover.plan_revision'),
    )
    .selectAll('structure')
    .select([
      'cover.easting_m as cover_easting_m',
      'cover.northing_m as cover_northing_m',
      'cover.station_m',
      'cover.offset_m',
      'cover.road_bearing_deg as street_bearing_deg',
      'cover.plan_revision',
      'plan.outcome',
      'cover.plan_stale',
      'cover.field_status',
      'cover.field_conflict',
      'cover.crew',
      'cover.night',
    ])
    .where('cover.agency_id', '=', agencyId)
    .where('cover.project_id', '=', projectId);
}

interface CoverRow extends Selectable<StructuresTable> {
  cover_easting_m: number;
  cover_northing_m: number;
  station_m: number | null;
  offset_m: number | null;
  street_bearing_deg: number | null;
  plan_revision: number | null;
  outcome: CoverPlan | null;
  plan_stale: boolean;
  field_status: FieldStatus | null;
  field_conflict: boolean;
  crew: string | null;
  night: string | null;
}

function toCover(row: CoverRow): ProjectCover {
  return {
    structureId: row.structure_id,
    structure: toStructure(row),
    eastingM: row.cover_easting_m,
    northingM: row.cover_northing_m,
    stationM: row.station_m,
    offsetM: row.offset_m,
    roadBearingDeg: row.street_bearing_deg,
    planRevision: row.plan_revision,
    outcome: row.outcome,
    isStale: row.plan_stale,
    fieldStatus: row.field_status,
    isConflict: row.field_conflict,
    crew: row.crew,
    night: row.night,
  };
}
