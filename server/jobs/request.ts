import { randomUUID } from 'node:crypto';
import type { Job } from '#shared/job.ts';
import type { Database } from '../store/database.ts';
import { insertJob, listUnfinishedJobs } from '../store/jobs.ts';
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
  for (const { agencyId, projectId, id: jobId } of await listUnfinishedJobs(database.kysely)) {
    await queue.resendPlan(database.kysely, { agencyId, projectId, jobId });
  }
}
