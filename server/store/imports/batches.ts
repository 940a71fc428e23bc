import type { Kysely } from 'kysely';
import type { ImportBatch } from '#shared/import.ts';
import type { ImportState } from '#shared/staged-import.ts';
import type { Tables } from '../tables.ts';

export interface Counts {
  new: number;
  changed: number;
  same: number;
}

const mostBatches = 200;

/** The latest first. */
export async function listBatches(
  db: Kysely<Tables>,
  agencyId: string,
  projectId: string,
  states: readonly ImportState[] = ['stored', 'undone'],
): Promise<ImportBatch[]> {
  const rows = await db
    .selectFrom('import_batches')
    .selectAll()
    .where('agency_id', '=', agencyId)
    .where('project_id', '=', projectId)
    .where('state', 'in', [...states])
    .orderBy('created_at', 'desc')
    .orderBy('import_batch_id')
    .limit(mostBatches)
    .execute();
  return rows.map((row) => ({
    id: row.import_batch_id,
    kind: row.kind,
    state: row.state,
    said: row.said,
    fileName: row.file_name,
    at: row.created_at.toISOString(),
    new: row.new_rows,
    changed: row.changed_rows,
    same: row.same_rows,
    refusedRows: row.refused_rows,
  }));
}
