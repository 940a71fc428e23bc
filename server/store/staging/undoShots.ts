import type { ChangedSince } from '#shared/staged-import.ts';
import type { Transaction } from '../transaction.ts';
import { mostNamed, type StoredImport, type Undone } from './undo.ts';

type Sql = Transaction['sql'];

/**
 * Takes shots back. A shot belongs to the import that wrote it last, so one that a later import wrote stays: undo that
 * one first, or leave the shot.
 */
export async function undoShots(sql: Sql, record: StoredImport): Promise<Undone> {
  const skipped = await changedSince(sql, record);
  const lost = await lostWithSurface(sql, record);
  const restored = await restore(sql, record);
  const removed = await remove(sql, record);
  return {
    removed,
    restored,
    skipped: [...lost, ...skipped.map(named)].slice(0, mostNamed),
    skippedCount: lost.length + (skipped[0]?.count ?? 0),
  };
}

/** Surfaces that were deleted with the earlier shots that an undo would have restored. */
async function lostWithSurface(
  sql: Sql,
  { agencyId, projectId, importId }: StoredImport,
): Promise<ChangedSince[]> {
  const rows = await sql<{ surface_id: string; count: number }[]>`
    select before.surface_id, count(*)::integer as count
    from shot_changes as before
    where before.agency_id = ${agencyId} and before.import_batch_id = ${importId}
      and not exists (select 1 from surfaces
        where surfaces.agency_id = ${agencyId} and surfaces.project_id = ${projectId}
          and surfaces.surface_id = before.surface_id)
    group by before.surface_id order by before.surface_id`;
  return rows.map(({ surface_id, count }) => ({
    kind: 'surface' as const,
    id: surface_id,
    text: `the surface was deleted; ${count} earlier shots of it cannot be restored`,
  }));
}

interface Later {
  surface_id: string;
  point: string;
  file_name: string;
  count: number;
}

function named({ surface_id, point, file_name }: Later): ChangedSince {
  return { kind: 'shot', id: `${surface_id}/${point}`, text: `changed by the import of ${file_name}` };
}

/** Shots of this import that a later import, still stored, took the place of. */
async function changedSince(sql: Sql, { agencyId, projectId, importId }: StoredImport): Promise<Later[]> {
  return sql<Later[]>`
    select later.surface_id, later.point, batch.file_name, count(*) over ()::integer as count
    from shot_changes as later
    join import_batches as batch
      on batch.agency_id = later.agency_id and batch.import_batch_id = later.import_batch_id
    where later.agency_id = ${agencyId} and later.project_id = ${projectId}
      and later.prior_batch_id = ${importId} and batch.state = 'stored'
    order by later.surface_id, later.point
    limit ${mostNamed}`;
}

async function restore(sql: Sql, { agencyId, projectId, importId }: StoredImport): Promise<number> {
  const { count } = await sql`
    update shots set easting_m = before.easting_m, northing_m = before.northing_m,
      elevation_m = before.elevation_m, code = before.code, role = before.role, sigma_m = before.sigma_m,
      cell = before.cell, import_batch_id = before.prior_batch_id
    from shot_changes as before
    where before.agency_id = ${agencyId} and before.import_batch_id = ${importId}
      and shots.agency_id = ${agencyId} and shots.project_id = ${projectId}
      and shots.surface_id = before.surface_id and shots.point = before.point
      and shots.ordinal = before.ordinal and shots.import_batch_id = ${importId}`;
  return count;
}

async function remove(sql: Sql, { agencyId, projectId, importId }: StoredImport): Promise<number> {
  const { count } = await sql`
    delete from shots
    where agency_id = ${agencyId} and project_id = ${projectId} and import_batch_id = ${importId}
      and surface_id in (
        select jsonb_array_elements_text(surface_ids) from import_batches
        where agency_id = ${agencyId} and import_batch_id = ${importId})`;
  return count;
}
