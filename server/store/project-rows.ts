import { type Kysely, type RawBuilder, sql } from 'kysely';
import type { Tables } from './tables.ts';
import { applyStructureChanges } from './tiles/changes.ts';

/**
 * The rows of a project that is being deleted, part by part. A part is a transaction of some tenth of a second, so that
 * whoever writes in the same tiles, or waits for the disk, waits no longer than that.
 */

interface ProjectKey {
  agencyId: string;
  projectId: string;
}

/** A table that may hold many rows of a project. */
interface Held {
  table: string;
  /** Of its key, after what the rows are found by. */
  key: readonly string[];
  /** In one part. */
  rows: number;
  by: 'project' | 'import' | 'assignment';
}

const held: readonly Held[] = [
  { table: 'shots', key: ['surface_id', 'cell', 'point', 'ordinal'], rows: 20_000, by: 'project' },
  { table: 'plan_covers', key: ['structure_id', 'revision'], rows: 4000, by: 'project' },
  { table: 'face_blocks', key: ['surface_id', 'block'], rows: 20, by: 'project' },
  { table: 'plan_changes', key: ['input_revision', 'cell'], rows: 20_000, by: 'project' },
  { table: 'shot_edits', key: ['surface_id', 'point', 'ordinal', 'edit_id'], rows: 10_000, by: 'project' },
  { table: 'lines', key: ['line_id'], rows: 2000, by: 'project' },
  { table: 'shot_changes', key: ['surface_id', 'point', 'ordinal'], rows: 20_000, by: 'import' },
  { table: 'import_changes', key: ['kind', 'row_key'], rows: 10_000, by: 'import' },
  { table: 'face_block_changes', key: ['surface_id', 'block'], rows: 20, by: 'import' },
  { table: 'cover_assignment_rows', key: ['structure_id'], rows: 10_000, by: 'assignment' },
];

const coversAtOnce = 500;

/** Rows of one table under one parent, to be removed along their key. */
export interface Stretch {
  table: string;
  key: readonly string[];
  rows: number;
  scope: RawBuilder<unknown>;
}

/** All that is removed before the project itself; covers are a stretch of their own. */
export async function findStretches(
  db: Kysely<Tables>,
  { agencyId, projectId }: ProjectKey,
): Promise<Stretch[]> {
  const parents = {
    project: [sql`project_id = ${projectId}`],
    import: await ofParents('import_batches', 'import_batch_id'),
    assignment: await ofParents('cover_assignments', 'assignment_id'),
  };
  async function ofParents(table: string, column: string): Promise<RawBuilder<unknown>[]> {
    const { rows } = await sql<{ id: string }>`
      select ${sql.ref(column)} as id from ${sql.table(table)}
      where agency_id = ${agencyId} and project_id = ${projectId} order by 1`.execute(db);
    return rows.map(({ id }) => sql`${sql.ref(column)} = ${id}`);
  }
  return held.flatMap(({ by, ...rest }) =>
    parents[by].map((of) => ({ ...rest, scope: sql`agency_id = ${agencyId} and ${of}` })),
  );
}

/** How many rows there are to remove. */
export async function countRows(
  db: Kysely<Tables>,
  { agencyId, projectId }: ProjectKey,
  stretches: readonly Stretch[],
): Promise<number> {
  const ofCovers = {
    table: 'project_covers',
    scope: sql`agency_id = ${agencyId} and project_id = ${projectId}`,
  };
  let total = 0;
  for (const { table, scope } of [ofCovers, ...stretches]) {
    const { rows } = await sql<{ count: number }>`
      select count(*) as count from ${sql.table(table)} where ${scope}`.execute(db);
    total += rows[0].count;
  }
  return total;
}

/** Where the next part begins; null before the first. */
export type Place = readonly unknown[] | null;

export interface Removed {
  rows: number;
  /** null where nothing was left. */
  last: Place;
}

/**
 * Removes the next rows of a stretch, after `place`: whoever began at the start each time would go over all that was
 * removed before, which stays in the index until the table is vacuumed.
 */
export async function removeRows(
  db: Kysely<Tables>,
  { table, key, rows: limit, scope }: Stretch,
  place: Place,
): Promise<Removed> {
  const columns = sql.join(key.map((column) => sql.ref(column)));
  const after = place ? sql`and (${columns}) > (${sql.join(place)})` : sql``;
  const { rows } = await sql<Record<string, unknown> & { removed: number }>`
    with part as materialized (
      select ctid, ${columns} from ${sql.table(table)} where ${scope} ${after} order by ${columns} limit ${limit}
    ), gone as (
      delete from ${sql.table(table)} where ${scope} and ctid = any (array(select ctid from part)) returning 1
    )
    select ${columns}, (select count(*) from gone) as removed from part
    order by ${sql.join(key.map((column) => sql`${sql.ref(column)} desc`))} limit 1`.execute(db);
  if (rows.length === 0) return { rows: 0, last: null };
  return { rows: rows[0].removed, last: key.map((column) => rows[0][column]) };
}

/** Removes the next covers, and brings the tiles up to date: of other projects too, which may come to lead. */
export async function removeCovers(
  db: Kysely<Tables>,
  { agencyId, projectId }: ProjectKey,
  place: Place,
): Promise<Removed> {
  const { rows } = await sql<{ id: string }>`
    select structure_id as id from project_covers
    where agency_id = ${agencyId} and project_id = ${projectId} ${place ? sql`and structure_id > ${place[0]}` : sql``}
    order by structure_id limit ${coversAtOnce}`.execute(db);
  if (rows.length === 0) return { rows: 0, last: null };
  const ids = rows.map(({ id }) => id);
  // Structures before covers, as everybody locks them.
  await sql`
    select from structures where agency_id = ${agencyId} and structure_id = any (${ids}::text[])
    order by structure_id for no key update`.execute(db);
  await sql`
    delete from project_covers
    where agency_id = ${agencyId} and project_id = ${projectId} and structure_id = any (${ids}::text[])`.execute(
    db,
  );
  await applyStructureChanges(db, agencyId, ids);
  return { rows: ids.length, last: [ids.at(-1)] };
}

/** Removes the counts of a zoom that came to nothing with the covers. */
export async function removeCounts(
  db: Kysely<Tables>,
  { agencyId, projectId }: ProjectKey,
  zoom: number,
): Promise<void> {
  await sql`
    delete from tile_counts where agency_id = ${agencyId} and zoom = ${zoom} and project_id = ${projectId}
      and covers = 0`.execute(db);
}

/**
 * Takes a deletion in hand until the transaction ends, so that a server that was taken for dead and is not does nothing
 * beside another; false where it has come to its end.
 */
export async function holdDeletion(db: Kysely<Tables>, agencyId: string, jobId: string): Promise<boolean> {
  const { rows } = await sql`
    select 1 from jobs where agency_id = ${agencyId} and job_id = ${jobId} and state = 'running' for update`.execute(
    db,
  );
  return rows.length > 0;
}

/** Notes rows as removed, in the transaction that removed them. */
export async function addRemoved(
  db: Kysely<Tables>,
  { agencyId, jobId }: { agencyId: string; jobId: string },
  rows: number,
): Promise<{ done: number; total: number }> {
  return db
    .updateTable('jobs')
    .set({ done: sql`done + ${rows}` })
    .where('agency_id', '=', agencyId)
    .where('job_id', '=', jobId)
    .returning(['done', 'total'])
    .executeTakeFirstOrThrow();
}
