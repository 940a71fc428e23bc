import { setTimeout as pause } from 'node:timers/promises';
import type { JobProgress } from '#shared/job.ts';
import type { Database } from '../../store/database.ts';
import { findJob, finishJob, startJob } from '../../store/jobs.ts';
import { notify, notifyProject } from '../../store/notices.ts';
import { dropDraft } from '../../store/plan/drafts.ts';
import { tryPlanLock } from '../../store/plan/lock.ts';
import { type FinishedDraft, noteSame, putInForce } from '../../store/plan/putInForce.ts';
import { lockProject, markPlanned } from '../../store/plans.ts';
import { inTransaction, type Transaction } from '../../store/transaction.ts';
import type { PlanRequest } from '../queue.ts';
import { loadPlanCommon } from './common.ts';
import { JobCancelled, JobInterrupted, PlanRefused } from './ends.ts';
import { makePlan } from './make.ts';
import { PlanProgress } from './progress.ts';

export interface PlanOptions {
  stopping: AbortSignal;
  log: (error: unknown) => void;
}

/** Of so many covers it takes time to note what they were planned from. */
const manyCovers = 2000;
/** How long a job waits before it looks again whether another one still plans the project. */
const lockPauseMs = 100;

/**
 * Plans the covers of a project whose inputs changed, and puts the result in force in one transaction. May be run again
 * for the same job at any time: what was planned before an interruption is kept, and what is in force stays where
 * nothing changed.
 */
export async function runPlanJob(
  database: Database,
  request: PlanRequest,
  { stopping, log }: PlanOptions,
): Promise<void> {
  const { kysely: db } = database;
  const { agencyId, jobId } = request;
  try {
    if (!(await startJob(db, agencyId, jobId))) return;
    await planWhenFree(database, request, stopping);
  } catch (error) {
    if (error instanceof JobInterrupted) throw error;
    await dropDraft(db, request, jobId);
    if (!(error instanceof JobCancelled)) {
      if (!(error instanceof PlanRefused)) log(error);
      await finishJob(db, agencyId, jobId, { state: 'failed', error: sayFailure(error) });
    }
  }
  await notify(db, { kind: 'job', agencyId, ...(await progressOf(database, request)) });
}

/** One job plans a project at a time, whichever server it runs on. */
async function planWhenFree(database: Database, request: PlanRequest, stopping: AbortSignal): Promise<void> {
  for (;;) {
    const isDone = await inTransaction(
      database,
      async (reading) => {
        // First of all, since what is read afterwards is of the moment of the first statement.
        if (!(await tryPlanLock(reading.sql, request))) return false;
        await planProject(database, reading, request, stopping);
        return true;
      },
      'own',
    );
    if (isDone) return;
    if (stopping.aborted) throw new JobInterrupted('The server is stopping');
    await pause(lockPauseMs);
  }
}

async function planProject(
  database: Database,
  reading: Transaction,
  request: PlanRequest,
  stopping: AbortSignal,
): Promise<void> {
  const common = await loadPlanCommon(reading.db, request);
  if (!common) throw new Error('The project is gone.');
  if (!common.solver) {
    throw new PlanRefused('The project has no ring catalogue yet: choose one, then plan again.');
  }
  const progress = new PlanProgress(database, request, stopping);
  const planned = await makePlan({ database, reading, request, common, progress });
  await progress.end();
  if (planned.count > manyCovers) await inTransaction(database, (own) => noteSame(own, request));
  const { agencyId, projectId, jobId } = request;
  await inTransaction(database, async (transaction) => {
    const locked = await lockProject(transaction.db, request);
    if (!locked) throw new Error('The project is gone.');
    const revision = planned.draft
      ? await enforce(transaction, request, planned.draft)
      : await keep(transaction, request, common.inputRevision);
    const { warnings } = common;
    const end = { state: 'done' as const, planRevision: revision ?? locked.planRevision, warnings };
    const whole = { ...end, unchanged: revision === null, planned: planned.count };
    if (!(await finishJob(transaction.db, agencyId, jobId, whole))) throw new JobCancelled();
    await notifyProject(transaction.db, agencyId, projectId);
  });
}

async function enforce(
  transaction: Transaction,
  request: PlanRequest,
  draft: FinishedDraft,
): Promise<number | null> {
  const result = await putInForce(transaction, request, draft);
  if (!result) throw new Error('The draft of the plan is gone.');
  return result.revision;
}

async function keep(transaction: Transaction, request: PlanRequest, inputRevision: number): Promise<null> {
  await markPlanned(transaction.db, request, inputRevision);
  return null;
}

async function progressOf({ kysely: db }: Database, { agencyId, jobId }: PlanRequest): Promise<JobProgress> {
  const job = await findJob(db, agencyId, jobId);
  const { state = 'failed', done = 0, total = 0 } = job ?? {};
  return { jobId, state, done, total, secondsLeft: null };
}

function sayFailure(error: unknown): string {
  return error instanceof PlanRefused ? error.message : 'The plan failed; the log of the server says why.';
}
