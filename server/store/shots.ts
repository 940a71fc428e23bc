import { type Kysely, sql } from 'kysely';
import type { ShotRole } from '#core/surface/types.ts';
import { cellOf } from './cell.ts';
import type { Tables } from './tables.ts';

export interface ShotKey {
  agencyId: string;
  projectId: string;
  surfaceId: string;
  point: string;
  ordinal: number;
}

/** What a shot says, as somebody saw it; metres. */
export interface SeenShot {
  eastingM: number;
  northingM: number;
  elevationM: number;
}

/** Far below what any survey tells apart, far above what passing through text may do. */
const sameM = 1e-6;

/**
 * Changes the elevation of a shot, or leaves the shot out where there is no edit, and keeps what it was; gives its role, null
 * where it is not there as it was seen. Shots are found by their place, so it takes no index of their names.
 */
export async function editShot(
  db: Kysely<Tables>,
  { agencyId, projectId, surfaceId, point, ordinal }: ShotKey,
  seen: SeenShot,
  { elevationM, why }: { elevationM: number | null; why: string },
): Promise<ShotRole | null> {
  const isIt = sql`
    agency_id = ${agencyId} and project_id = ${projectId} and surface_id = ${surfaceId}
    and cell = ${cellOf(seen.eastingM, seen.northingM)} and point = ${point} and ordinal = ${ordinal}
    and abs(easting_m - ${seen.eastingM}) < ${sameM} and abs(northing_m - ${seen.northingM}) < ${sameM}
    and abs(elevation_m - ${seen.elevationM}) < ${sameM}`;
  const written =
    elevationM === null
      ? sql`delete from shots where ${isIt}`
      : sql`update shots set elevation_m = ${elevationM}, import_batch_id = null where ${isIt}`;
  const kept = await sql<{ role: ShotRole }>`
    insert into shot_edits (agency_id, project_id, surface_id, point, ordinal, before, after, why)
    select agency_id, project_id, surface_id, point, ordinal,
      jsonb_build_object('eastingM', easting_m, 'northingM', northing_m, 'elevationM', elevation_m, 'code', code,
        'role', role, 'sigmaM', sigma_m, 'importId', import_batch_id),
      ${elevationM === null ? null : { elevationM }}::jsonb, ${why}
    from shots where ${isIt} for update
    returning before ->> 'role' as role`.execute(db);
  if (kept.rows.length === 0) return null;
  await written.execute(db);
  return kept.rows[0].role;
}
