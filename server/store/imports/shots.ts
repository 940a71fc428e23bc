import type { Shot } from '#core/surface/types.ts';
import type { Database } from '../database.ts';
import { lockProject } from '../plans.ts';
import { countShots, type ShotTarget, storeShots } from '../staging/shots.ts';
import { inTransaction } from '../transaction.ts';
import { type Counts, insertBatch, setBatchCounts } from './batches.ts';

export interface ShotImport extends ShotTarget {
  shots: readonly Shot[];
  batch: { fileName: string; sha256: string; refusedRows: number };
}

/** Thrown where a file changes nothing: then nothing of the import stays either. */
class Unchanged extends Error {}

/** Lays the shots of one file on a surface, or counts what that would do. One transaction: all of it or nothing. */
export async function importShots(
  database: Database,
  given: ShotImport,
  mode: 'preview' | 'store',
): Promise<Counts> {
  const batches = async function* () {
    yield given.shots;
  };
  if (mode === 'preview') return countShots(database, given, batches());
  let counts: Counts = { new: 0, changed: 0, same: 0 };
  try {
    await inTransaction(database, async (transaction) => {
      const { agencyId, projectId, importId, batch, surface } = given;
      await lockProject(transaction.db, given);
      const row = { id: importId, projectId, kind: 'shots' as const, ...batch, counts };
      await insertBatch(transaction.db, agencyId, { ...row, surfaceIds: [surface.id] });
      counts = await storeShots(transaction, given, batches());
      if (counts.new + counts.changed === 0) throw new Unchanged();
      await setBatchCounts(transaction.db, { agencyId, importId }, counts);
      await transaction.sql`
        update projects set input_revision = input_revision + 1
        where agency_id = ${agencyId} and project_id = ${projectId}`;
    });
  } catch (error) {
    if (!(error instanceof Unchanged)) throw error;
  }
  return counts;
}
