import type { Kysely } from 'kysely';
import type { ImportProgress } from '#shared/staged-import.ts';
import { notify } from '../store/notices.ts';
import type { ImportKey } from '../store/staging/batches.ts';
import type { Tables } from '../store/tables.ts';

/** Tells everybody who follows an import how far it has come. */
export async function notifyImport(
  db: Kysely<Tables>,
  { agencyId, importId }: ImportKey,
  progress: Omit<ImportProgress, 'importId'>,
): Promise<void> {
  await notify(db, { kind: 'import', agencyId, importId, ...progress });
}
