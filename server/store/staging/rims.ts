import { type Kysely, sql } from 'kysely';
import type { RegisterRim, RimShot } from '#core/survey/checks/againstRegister.ts';
import type { Tables } from '../tables.ts';

interface ProjectKey {
  agencyId: string;
  projectId: string;
}

/** Metres in the project's grid. */
export interface Reach {
  west: number;
  south: number;
  east: number;
  north: number;
}

/** Rims of the project's covers as the register has them and as the plan in force wants them, metres. */
export interface CoverRim extends Omit<RegisterRim, 'elevation'> {
  registered: number | null;
  /** Finished elevation less the set-down; null without a plan. */
  planned: number | null;
}

/** The covers of a project within a rectangle of its grid that have a rim in the register or in the plan. */
export async function listCoverRims(
  db: Kysely<Tables>,
  { agencyId, projectId }: ProjectKey,
  { west, south, east, north }: Reach,
): Promise<CoverRim[]> {
  const { rows } = await sql<CoverRim>`
    select cover.structure_id as id, cover.easting_m as east, cover.northing_m as north,
      structure.rim_elevation_m as registered,
      (plan.outcome #>> '{finished,elevation}')::float8 - case when structure.set_down_m <> 0
        then structure.set_down_m
        else coalesce((jsonb_path_query_first((plan.outcome -> 'reasons')::jsonb,
          '$[*] ? (@.code == "setDown").values.by') #>> '{}')::float8, 0) end as planned
    from project_covers as cover
    join structures as structure
      on structure.agency_id = cover.agency_id and structure.structure_id = cover.structure_id
    left join plan_covers as plan
      on plan.agency_id = cover.agency_id and plan.project_id = cover.project_id
        and plan.structure_id = cover.structure_id and plan.revision = cover.plan_revision
    where cover.agency_id = ${agencyId} and cover.project_id = ${projectId}
      and cover.easting_m between ${west} and ${east} and cover.northing_m between ${south} and ${north}
      and (structure.rim_elevation_m is not null or plan.outcome #> '{finished,elevation}' is not null)
    order by cover.structure_id`.execute(db);
  return rows;
}

/** Shots on rims of a project within a rectangle of its grid, at most so many. */
export async function listRimShots(
  db: Kysely<Tables>,
  { agencyId, projectId }: ProjectKey,
  { west, south, east, north }: Reach,
  most: number,
): Promise<RimShot[]> {
  const rows = await db
    .selectFrom('shots')
    .select(['point', 'easting_m', 'northing_m', 'elevation_m'])
    .where('agency_id', '=', agencyId)
    .where('project_id', '=', projectId)
    .where('role', '=', 'rim')
    .where('easting_m', '>=', west)
    .where('easting_m', '<=', east)
    .where('northing_m', '>=', south)
    .where('northing_m', '<=', north)
    .limit(most)
    .execute();
  return rows.map(({ point, easting_m, northing_m, elevation_m }) => ({
    point,
    row: 0,
    east: easting_m,
    north: northing_m,
    elevation: elevation_m,
  }));
}
