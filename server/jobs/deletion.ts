import type { Database } from '../store/database.ts';
import { findJob, reportJob, startJob } from '../store/jobs.ts';
import { notify } from '../store/notices.ts';
import { deleteProject } from '../store/project-deletion.ts';
import {
  addRemoved,
  countRows,
  findStretches,
  holdDeletion,
  type Place,
  type Removed,
  removeCounts,
  removeCovers,
  removeRows,
} from '../store/project-rows.ts';
import { firstCoverZoom } from '../store/tiles/places.ts';
import { inTransaction, type Transaction } from '../store/transaction.ts';
import { JobInterrupted } from './plan/ends.ts';
import type { DeletionRequest } from './queue.ts';

/** How often progress is told. */
const progressMs = 250;

/**
 * Removes a project that is marked as being deleted, part by part, itself last. May be run again for the same job at any
 * time: what is gone is gone, and how far it has come is written with each part. Its job goes with the project.
 */
export async function runDeletionJob(
  database: Database,
  request: DeletionRequest,
  stopping: AbortSignal,
): Promise<void> {
  const { kysely: db } = database;
  const { agencyId, jobId } = request;
  const job = (await startJob(db, agencyId, jobId)) && (await findJob(db, agencyId, jobId));
  if (!job) return;
  const stretches = await findStretches(db, request);
  const left = await countRows(db, request, stretches);
  // After an interruption: what was counted then, less what is left.
  const total = Math.max(job.total, left);
  await reportJob(db, agencyId, jobId, { done: total - left, total });

  let toldAt = 0;
  /** Goes along rows until none is left; how many were removed, or null where the deletion has come to its end. */
  const along = async (
    remove: (transaction: Transaction, place: Place) => Promise<Removed>,
  ): Promise<number | null> => {
    let place: Place = null;
    let rows = 0;
    for (;;) {
      if (stopping.aborted) throw new JobInterrupted('The server is stopping');
      const part = await inTransaction(database, async (transaction) => {
        if (!(await holdDeletion(transaction.db, agencyId, jobId))) return null;
        const removed = await remove(transaction, place);
        const progress = removed.rows > 0 ? await addRemoved(transaction.db, request, removed.rows) : null;
        return { ...removed, progress };
      });
      if (!part) return null;
      if (part.progress && performance.now() - toldAt >= progressMs) {
        toldAt = performance.now();
        const notice = { jobId, state: 'running' as const, ...part.progress, secondsLeft: null };
        await notify(db, { kind: 'job', agencyId, ...notice });
      }
      if (part.last === null) return rows;
      rows += part.rows;
      place = part.last;
    }
  };

  // A change that was on its way when somebody asked for the deletion may have laid rows down behind us.
  for (let rows: number | null = 1; rows !== 0; ) {
    rows = await along(({ db: own }, place) => removeCovers(own, request, place));
    for (const stretch of stretches) {
      if (rows === null) return;
      const more: number | null = await along(({ db: own }, place) => removeRows(own, stretch, place));
      rows = more === null ? null : rows + more;
    }
    if (rows === null) return;
  }
  for (let zoom = 0; zoom < firstCoverZoom; zoom += 1) await removeCounts(db, request, zoom);
  await inTransaction(database, async ({ db: own }) => {
    if (!(await holdDeletion(own, agencyId, jobId))) return;
    await deleteProject(own, agencyId, request.projectId);
    const notice = { jobId, state: 'done' as const, done: total, total, secondsLeft: null };
    await notify(own, { kind: 'job', agencyId, ...notice });
  });
}
