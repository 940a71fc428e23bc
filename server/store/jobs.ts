import type { Kysely, Selectable } from 'kysely';
import type { Job } from '#shared/job.ts';
import type { JobsTable, Tables } from './tables.ts';

export async function findJob(db: Kysely<Tables>, agencyId: string, jobId: string): Promise<Job | null> {
  const row = await db
    .selectFrom('jobs')
    .selectAll()
    .where('agency_id', '=', agencyId)
    .where('job_id', '=', jobId)
    .executeTakeFirst();
  return row ? toJob(row) : null;
}

export async function findLatestJob(
  db: Kysely<Tables>,
  { agencyId, projectId }: { agencyId: string; projectId: string },
  kind: Job['kind'],
): Promise<Job | null> {
  const row = await db
    .selectFrom('jobs')
    .selectAll()
    .where('agency_id', '=', agencyId)
    .where('project_id', '=', projectId)
    .where('kind', '=', kind)
    .orderBy('created_at', 'desc')
    .orderBy('job_id')
    .limit(1)
    .executeTakeFirst();
  return row ? toJob(row) : null;
}

/** Puts a job in the list; where one of the project is waiting already, that one is given back instead. */
export async function insertJob(
  db: Kysely<Tables>,
  { agencyId, projectId, jobId }: { agencyId: string; projectId: string; jobId: string },
): Promise<{ job: Job; isNew: boolean }> {
  const inserted = await db
    .insertInto('jobs')
    .values({ agency_id: agencyId, project_id: projectId, job_id: jobId, kind: 'plan', state: 'queued' })
    .onConflict((conflict) => conflict.doNothing())
    .returningAll()
    .executeTakeFirst();
  if (inserted) return { job: toJob(inserted), isNew: true };
  const waiting = await db
    .selectFrom('jobs')
    .selectAll()
    .where('agency_id', '=', agencyId)
    .where('project_id', '=', projectId)
    .where('kind', '=', 'plan')
    .where('state', '=', 'queued')
    .executeTakeFirst();
  if (waiting) return { job: toJob(waiting), isNew: false };
  // The waiting job started between the two statements, so its place is free again.
  return insertJob(db, { agencyId, projectId, jobId });
}

/** Jobs that were waiting or running when the server ended; a start puts them in the queue again. */
export async function listUnfinishedJobs(db: Kysely<Tables>): Promise<Job[]> {
  const rows = await db.selectFrom('jobs').selectAll().where('state', 'in', ['queued', 'running']).execute();
  return rows.map(toJob);
}

/** Takes the job up; false where it was cancelled or finished meanwhile, and there is nothing to do. */
export async function startJob(db: Kysely<Tables>, agencyId: string, jobId: string): Promise<boolean> {
  const result = await unfinished(db, agencyId, jobId)
    .set({ state: 'running', started_at: new Date(), is_entering: false })
    .executeTakeFirst();
  return result.numUpdatedRows > 0n;
}

/** Notes how far a job has come; false where it is to stop since somebody cancelled it. */
export async function reportJob(
  db: Kysely<Tables>,
  agencyId: string,
  jobId: string,
  progress: { done: number; total: number },
): Promise<boolean> {
  const result = await unfinished(db, agencyId, jobId).set(progress).executeTakeFirst();
  return result.numUpdatedRows > 0n;
}

export interface JobEnd {
  state: 'done' | 'failed';
  error?: string;
  planRevision?: number;
  unchanged?: boolean;
  warnings?: string[];
  planned?: number;
}

/** From here on a job cannot be cancelled; false where it was. */
export async function holdJob(db: Kysely<Tables>, agencyId: string, jobId: string): Promise<boolean> {
  const result = await unfinished(db, agencyId, jobId).set({ is_entering: true }).executeTakeFirst();
  return result.numUpdatedRows > 0n;
}

/** Cancels a job; false where it had ended before, or comes into force. */
export async function cancelJob(db: Kysely<Tables>, agencyId: string, jobId: string): Promise<boolean> {
  const result = await unfinished(db, agencyId, jobId)
    .where('is_entering', '=', false)
    .set({ state: 'cancelled', finished_at: new Date() })
    .executeTakeFirst();
  return result.numUpdatedRows > 0n;
}

/** Ends a job; false where it had ended before. */
export async function finishJob(
  db: Kysely<Tables>,
  agencyId: string,
  jobId: string,
  end: JobEnd,
): Promise<boolean> {
  const result = await unfinished(db, agencyId, jobId)
    .set({
      state: end.state,
      error: end.error ?? null,
      plan_revision: end.planRevision ?? null,
      unchanged: end.unchanged ?? false,
      warnings: end.warnings ?? [],
      planned: end.planned ?? 0,
      finished_at: new Date(),
    })
    .executeTakeFirst();
  return result.numUpdatedRows > 0n;
}

function unfinished(db: Kysely<Tables>, agencyId: string, jobId: string) {
  return db
    .updateTable('jobs')
    .where('agency_id', '=', agencyId)
    .where('job_id', '=', jobId)
    .where('state', 'in', ['queued', 'running']);
}

export function toJob(row: Selectable<JobsTable>): Job {
  return {
    id: row.job_id,
    agencyId: row.agency_id,
    projectId: row.project_id,
    kind: row.kind,
    state: row.state,
    done: row.done,
    total: row.total,
    createdAt: row.created_at.toISOString(),
    startedAt: row.started_at?.toISOString() ?? null,
    finishedAt: row.finished_at?.toISOString() ?? null,
    error: row.error,
    planRevision: row.plan_revision,
    unchanged: row.unchanged,
    warnings: row.warnings,
    planned: row.planned,
  };
}
