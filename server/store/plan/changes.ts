import { type Kysely, sql } from 'kysely';
import type { Tables } from '../tables.ts';

interface ProjectKey {
  agencyId: string;
  projectId: string;
}

/** So many cells are looked at one by one; of more, the whole project is. */
const mostCells = 2000;

/** Where inputs changed; `isFar`: shots on coded lines among them, which have a say farther away than others. */
export interface ChangedCell {
  cell: number;
  isFar: boolean;
}

/** Squares of the project's grid (cell.ts); those that are told without more may hold shots on coded lines. */
export type TouchedCells = Iterable<number> | { near: Iterable<number> };

/**
 * Marks that what the plan is made from has changed. `cells`: where it changed; absent where it may have changed anywhere.
 * To be called once for each change, in its transaction.
 */
export async function touchProjectInputs(
  db: Kysely<Tables>,
  { agencyId, projectId }: ProjectKey,
  cells: TouchedCells = [],
): Promise<void> {
  const row = await db
    .updateTable('projects')
    .set({ input_revision: sql`input_revision + 1` })
    .where('agency_id', '=', agencyId)
    .where('project_id', '=', projectId)
    // An edit of the register is no business of a project that is going.
    .where('deleting_since', 'is', null)
    .returning('input_revision')
    .executeTakeFirst();
  const isFar = !('near' in cells);
  const touched = [...new Set('near' in cells ? cells.near : cells)];
  if (!row || touched.length === 0 || touched.length > mostCells) return;
  await sql`
    insert into plan_changes (agency_id, project_id, input_revision, cell, is_far)
    select ${agencyId}, ${projectId}, ${row.input_revision}, unnest(${touched}::bigint[]), ${isFar}
  `.execute(db);
}

/**
 * Cells in which inputs changed after one revision up to another; null where they may have changed anywhere. The
 * revisions of a project are given out under its row's lock, so none of them can come in later.
 */
export async function findChangedCells(
  db: Kysely<Tables>,
  { agencyId, projectId }: ProjectKey,
  { after, upTo }: { after: number; upTo: number },
): Promise<ChangedCell[] | null> {
  const rows = await db
    .selectFrom('plan_changes')
    .select(['input_revision', 'cell', 'is_far'])
    .where('agency_id', '=', agencyId)
    .where('project_id', '=', projectId)
    .where('input_revision', '>', after)
    .where('input_revision', '<=', upTo)
    .limit(mostCells + 1)
    .execute();
  const revisions = new Set(rows.map((row) => row.input_revision));
  if (rows.length > mostCells || revisions.size < upTo - after) return null;
  const found = new Map<number, boolean>();
  for (const row of rows) found.set(row.cell, row.is_far || found.get(row.cell) === true);
  return [...found].map(([cell, isFar]) => ({ cell, isFar }));
}

/** Forgets the changes that a plan has taken up. */
export async function forgetChanges(
  db: Kysely<Tables>,
  { agencyId, projectId }: ProjectKey,
  upTo: number,
): Promise<void> {
  await db
    .deleteFrom('plan_changes')
    .where('agency_id', '=', agencyId)
    .where('project_id', '=', projectId)
    .where('input_revision', '<=', upTo)
    .execute();
}
