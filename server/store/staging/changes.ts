import type { Kysely } from 'kysely';
import { inChunks } from '../list.ts';
import type { Tables } from '../tables.ts';
import type { ImportKey } from './batches.ts';

/** What a row was before an import changed it; null where the import made it. */
export interface RowChange {
  kind: 'structure' | 'cover' | 'line' | 'surface';
  key: string;
  before: Record<string, unknown> | null;
  /** Version that the import gave it; null for rows that have none. */
  afterVersion: number | null;
}

export async function insertChanges(
  db: Kysely<Tables>,
  { agencyId, importId }: ImportKey,
  changes: readonly RowChange[],
): Promise<void> {
  for (const chunk of inChunks(changes)) {
    const rows = chunk.map(({ kind, key, before, afterVersion }) => ({
      agency_id: agencyId,
      import_batch_id: importId,
      kind,
      row_key: key,
      before,
      after_version: afterVersion,
    }));
    await db.insertInto('import_changes').values(rows).execute();
  }
}

export async function listChanges<Before>(
  db: Kysely<Tables>,
  { agencyId, importId }: ImportKey,
  kind: RowChange['kind'],
): Promise<{ key: string; before: Before | null; afterVersion: number | null }[]> {
  const rows = await db
    .selectFrom('import_changes')
    .select(['row_key', 'before', 'after_version'])
    .where('agency_id', '=', agencyId)
    .where('import_batch_id', '=', importId)
    .where('kind', '=', kind)
    .orderBy('row_key')
    .execute();
  return rows.map(({ row_key, before, after_version }) => ({
    key: row_key,
    before: before as Before | null,
    afterVersion: after_version,
  }));
}

/**
 * After an undo: the row stands as an import before gave it, under a new version. What that import noted follows, else
 * the undo would look like somebody's change to it.
 */
export async function carryVersion(
  db: Kysely<Tables>,
  { agencyId, projectId }: { agencyId: string; projectId: string },
  { kind, key, from, to }: { kind: RowChange['kind']; key: string; from: number; to: number },
): Promise<void> {
  await db
    .updateTable('import_changes')
    .set({ after_version: to })
    .where('agency_id', '=', agencyId)
    .where('kind', '=', kind)
    .where('row_key', '=', key)
    .where('after_version', '=', from)
    .where('import_batch_id', 'in', (eb) =>
      eb
        .selectFrom('import_batches')
        .select('import_batch_id')
        .where('agency_id', '=', agencyId)
        .where('state', '=', 'stored')
        .$if(kind !== 'structure', (query) => query.where('project_id', '=', projectId)),
    )
    .execute();
}

/** No row has it: an import whose row was deleted since finds another version, whatever comes under that key later. */
export const deletedVersion = -1;

/** After somebody deleted a row: what imports noted of it is no longer theirs to take back. */
export async function noteDeleted(
  db: Kysely<Tables>,
  { agencyId, projectId }: { agencyId: string; projectId: string },
  { kind, key }: Pick<RowChange, 'kind' | 'key'>,
): Promise<void> {
  await db
    .updateTable('import_changes')
    .set({ after_version: deletedVersion })
    .where('agency_id', '=', agencyId)
    .where('kind', '=', kind)
    .where('row_key', '=', key)
    .where('import_batch_id', 'in', (eb) =>
      eb
        .selectFrom('import_batches')
        .select('import_batch_id')
        .where('agency_id', '=', agencyId)
        .where('project_id', '=', projectId),
    )
    .execute();
}
