import type { Kysely } from 'kysely';
import type { ImportBatch } from '#shared/import.ts';
import type { ImportState } from '#shared/staged-import.ts';
import type { Tables } from '../tables.ts';

export interface NewBatch {
  id: string;
  projectId: string;
  kind: 'structures' | 'shots';
  fileName: string;
  sha256: string;
  counts: Counts;
  refusedRows: number;
  surfaceIds?: string[];
}

export interface Counts {
  new: number;
  changed: number;
  same: number;
}

export async function insertBatch(db: Kysely<Tables>, agencyId: string, batch: NewBatch): Promise<void> {
  await db
    .insertInto('import_batches')
    .values({
      agency_id: agencyId,
      import_batch_id: batch.id,
      project_id: batch.projectId,
      kind: batch.kind,
      file_name: batch.fileName,
      file_sha256: batch.sha256,
      new_rows: batch.counts.new,
      changed_rows: batch.counts.changed,
      same_rows: batch.counts.same,
      refused_rows: batch.refusedRows,
      said: `Stored ${batch.fileName}`,
      surface_ids: batch.surfaceIds ?? [],
    })
    .execute();
}

export async function setBatchCounts(
  db: Kysely<Tables>,
  { agencyId, importId }: { agencyId: string; importId: string },
  counts: Counts,
): Promise<void> {
  await db
    .updateTable('import_batches')
    .set({ new_rows: counts.new, changed_rows: counts.changed, same_rows: counts.same })
    .where('agency_id', '=', agencyId)
    .where('import_batch_id', '=', importId)
    .execute();
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
