import { randomUUID } from 'node:crypto';
import type { Job } from '#shared/job.ts';
import type { Database } from '../store/database.ts';
import { finishJob, insertJob, listUnfinishedJobs } from '../store/jobs.ts';
import { notify } from '../store/notices.ts';
import type { JobQueue } from './queue.ts';

interface Queueing {
  database: Database;
  queue: JobQueue;
}

/**
 * Asks for a plan of a project. Asking again while one waits gives that one; while one runs, a new one waits,
 * since inputs may have changed after the running one read them.
 */
export async function requestPlan(
  { database, queue }: Queueing,
  { agencyId, projectId }: { agencyId: string; projectId: string },
): Promise<Job> {
  return database.kysely.transaction().execute(async (db) => {
    const { job, isNew } = await insertJob(db, { agencyId, projectId, jobId: randomUUID() });
    if (isNew) await queue.sendPlan(db, { agencyId, projectId, jobId: job.id });
    return job;
  });
}

/** After a start: what the server before this one left waiting or half done is put in the queue again. */
export async function resumeJobs({ database, queue }: Queueing): Promise<void> {
  for (const { agencyId, projectId, id: jobId, kind } of await listUnfinishedJobs(database.kysely)) {
    const request = { agencyId, projectId, jobId };
    if (kind === 'deletion') await queue.resendDeletion(database.kysely, request);
    else await queue.resendPlan(database.kysely, request);
  }
}

/**
 * On a shared database: ends the jobs that the queue gave up since server after server ended in the middle of them, and puts
 * those in again that it knows nothing of. A deletion that it gave up is put in again: it has to come to its end. Whatever
 * still stands in the queue belongs to some server and is left alone.
 */
export async function resumeStrayJobs({ database, queue }: Queueing): Promise<void> {
  const { kysely: db } = database;
  for (const { agencyId, projectId, id: jobId, kind, done, total } of await listUnfinishedJobs(db)) {
    const fate = await queue.fateOf(kind, jobId);
    if (kind === 'deletion') {
      if (fate !== 'pending') await queue.resendDeletion(db, { agencyId, projectId, jobId });
      continue;
    }
    if (fate === 'unknown') await queue.resendPlan(db, { agencyId, projectId, jobId });
    if (fate !== 'ended') continue;
    const error = 'Every server ended while it was planning. What it had planned is lost; plan again.';
    if (!(await finishJob(db, agencyId, jobId, { state: 'failed', error }))) continue;
    const end = { jobId, state: 'failed' as const, done, total, secondsLeft: null };
    await notify(db, { kind: 'job', agencyId, ...end });
  }
}
