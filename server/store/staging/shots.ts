import type { Shot } from '#core/surface/types.ts';
import type { Database } from '../database.ts';
import type { Counts } from '../imports/batches.ts';
import { copyIn, inTransaction, type Transaction } from '../transaction.ts';
import { insertChanges } from './changes.ts';
import { shotRows } from './shotRows.ts';
import type { SurfaceToLay } from './surfaces.ts';

export interface ShotTarget {
  agencyId: string;
  projectId: string;
  surface: SurfaceToLay;
  importId: string;
  /** File that rows may be kept in while they are put in order. */
  spool: string;
  /** Hears what share of a large survey was sent; throws where the work is to stop. */
  sent?: (share: number) => Promise<void>;
}

type Batches = AsyncIterable<readonly Shot[]>;

/** Counts what storing would do; what it has to write for that is undone. */
export async function countShots(database: Database, target: ShotTarget, batches: Batches): Promise<Counts> {
  const { agencyId, projectId, surface } = target;
  if (!(await hasShots(database.sql, { agencyId, projectId, surfaceId: surface.id }))) {
    let count = 0;
    for await (const batch of batches) count += batch.length;
    return { new: count, changed: 0, same: 0 };
  }
  let counts: Counts = { new: 0, changed: 0, same: 0 };
  await inTransaction(database, async (transaction) => {
    await stage(transaction, target, batches);
    counts = await compare(transaction, target);
    throw new Undone();
  }).catch((error) => {
    if (!(error instanceof Undone)) throw error;
  });
  return counts;
}

class Undone extends Error {}

/**
 * Lays shots on a surface in the caller's transaction, and keeps what each changed one was before. A surface without
 * shots takes them straight from COPY; else they are laid beside those that it has.
 */
export async function storeShots(
  transaction: Transaction,
  target: ShotTarget,
  batches: Batches,
): Promise<Counts> {
  const { sql } = transaction;
  const { agencyId, projectId, surface, importId } = target;
  // Two imports into one project come one after the other.
  await sql`select 1 from projects where agency_id = ${agencyId} and project_id = ${projectId} for update`;
  const made = await sql`
    insert into surfaces (agency_id, project_id, surface_id, name, stage, lift, epoch, vertical_datum,
      elevation_unit, method, import_batch_id)
    values (${agencyId}, ${projectId}, ${surface.id}, ${surface.name}, ${surface.stage}, ${surface.lift},
      ${surface.epoch}, ${surface.verticalDatum}, ${surface.elevationUnit}, ${surface.method}, ${importId})
    on conflict do nothing returning surface_id`;
  if (made.length > 0) {
    const change = { kind: 'surface' as const, key: surface.id, before: null, afterVersion: 1 };
    await insertChanges(transaction.db, { agencyId, importId }, [change]);
  }
  if (!(await hasShots(sql, { agencyId, projectId, surfaceId: surface.id }))) {
    return { new: await copyStraight(transaction, target, batches), changed: 0, same: 0 };
  }
  await stage(transaction, target, batches);
  const counts = await compare(transaction, target);
  if (counts.new + counts.changed > 0) await merge(transaction, target);
  return counts;
}

async function hasShots(
  sql: Database['sql'] | Transaction['sql'],
  { agencyId, projectId, surfaceId }: { agencyId: string; projectId: string; surfaceId: string },
): Promise<boolean> {
  const [row] = await sql`
    select 1 from shots
    where agency_id = ${agencyId} and project_id = ${projectId} and surface_id = ${surfaceId} limit 1`;
  return row !== undefined;
}

async function copyStraight(
  { sql }: Transaction,
  { agencyId, projectId, surface, importId, spool, sent }: ShotTarget,
  batches: Batches,
): Promise<number> {
  let count = 0;
  async function* counted(): Batches {
    for await (const batch of batches) {
      count += batch.length;
      yield batch;
    }
  }
  await copyIn(
    sql,
    `copy shots (agency_id, project_id, surface_id, point, ordinal, easting_m, northing_m, elevation_m, code, role,
      sigma_m, cell, import_batch_id) from stdin (format binary)`,
    shotRows(counted(), { head: [agencyId, projectId, surface.id], tail: importId, spool, sent }),
  );
  return count;
}

async function stage(
  { sql }: Transaction,
  { spool, sent }: Pick<ShotTarget, 'spool' | 'sent'>,
  batches: Batches,
): Promise<void> {
  await sql`
    create temporary table staged_shots (
      point text, ordinal integer, easting_m double precision, northing_m double precision,
      elevation_m double precision, code text, role text, sigma_m double precision, cell bigint
    ) on commit drop`;
  const rows = shotRows(batches, { head: [], tail: null, spool, sent });
  await copyIn(sql, 'copy staged_shots from stdin (format binary)', rows);
  await sql`analyze staged_shots`;
}

async function compare(
  { sql }: Transaction,
  { agencyId, projectId, surface }: Omit<ShotTarget, 'importId' | 'spool' | 'sent'>,
): Promise<Counts> {
  const [counts] = await sql<[Counts]>`
    select
      count(*) filter (where shots.point is null)::integer as new,
      count(*) filter (where shots.point is not null and ${differs(sql)})::integer as changed,
      count(*) filter (where shots.point is not null and not ${differs(sql)})::integer as same
    from staged_shots as staged
    left join shots on shots.agency_id = ${agencyId} and shots.project_id = ${projectId}
      and shots.surface_id = ${surface.id} and shots.point = staged.point and shots.ordinal = staged.ordinal`;
  return counts;
}

function differs(sql: Transaction['sql']) {
  return sql`((shots.easting_m, shots.northing_m, shots.elevation_m, shots.code, shots.role, shots.sigma_m)
    is distinct from
    (staged.easting_m, staged.northing_m, staged.elevation_m, staged.code, staged.role, staged.sigma_m))`;
}

async function merge(
  { sql }: Transaction,
  { agencyId, projectId, surface, importId }: ShotTarget,
): Promise<void> {
  await sql`
    insert into shot_changes (agency_id, import_batch_id, project_id, surface_id, point, ordinal, easting_m,
      northing_m, elevation_m, code, role, sigma_m, cell, prior_batch_id)
    select shots.agency_id, ${importId}, shots.project_id, shots.surface_id, shots.point, shots.ordinal,
      shots.easting_m, shots.northing_m, shots.elevation_m, shots.code, shots.role, shots.sigma_m, shots.cell,
      shots.import_batch_id
    from staged_shots as staged
    join shots on shots.agency_id = ${agencyId} and shots.project_id = ${projectId}
      and shots.surface_id = ${surface.id} and shots.point = staged.point and shots.ordinal = staged.ordinal
    where ${differs(sql)}`;
  await sql`
    update shots set easting_m = staged.easting_m, northing_m = staged.northing_m,
      elevation_m = staged.elevation_m, code = staged.code, role = staged.role, sigma_m = staged.sigma_m,
      cell = staged.cell, import_batch_id = ${importId}
    from staged_shots as staged
    where shots.agency_id = ${agencyId} and shots.project_id = ${projectId} and shots.surface_id = ${surface.id}
      and shots.point = staged.point and shots.ordinal = staged.ordinal and ${differs(sql)}`;
  await sql`
    insert into shots (agency_id, project_id, surface_id, point, ordinal, easting_m, northing_m,
      elevation_m, code, role, sigma_m, cell, import_batch_id)
    select ${agencyId}, ${projectId}, ${surface.id}, point, ordinal, easting_m, northing_m,
      elevation_m, code, role, sigma_m, cell, ${importId}::uuid
    from staged_shots as staged
    where not exists (
      select 1 from shots
      where shots.agency_id = ${agencyId} and shots.project_id = ${projectId}
        and shots.surface_id = ${surface.id} and shots.point = staged.point and shots.ordinal = staged.ordinal)
    order by cell`;
}
