import { setTimeout as pause } from 'node:timers/promises';
import type { JobProgress } from '#shared/job.ts';
import type { Database } from '../../store/database.ts';
import { findJob, finishJob, holdJob, type JobEnd, startJob } from '../../store/jobs.ts';
import { notify, notifyProject } from '../../store/notices.ts';
import { dropDraft } from '../../store/plan/drafts.ts';
import { tryPlanLock } from '../../store/plan/lock.ts';
import {
  beginInForce,
  beginPart,
  type EnteringDraft,
  endInForce,
  type FinishedDraft,
  lookOverDraft,
  putPartInForce,
} from '../../store/plan/putInForce.ts';
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
    const isDone = await inTransaction(database, async (holding) => {
      if (!(await tryPlanLock(holding.sql, request))) return false;
      await planProject(database, request, stopping);
      return true;
    });
    if (isDone) return;
    if (stopping.aborted) throw new JobInterrupted('The server is stopping');
    await pause(lockPauseMs);
  }
}

async function planProject(database: Database, request: PlanRequest, stopping: AbortSignal): Promise<void> {
  // The moment that all is read at is let go before the plan comes into force: the database keeps every row that was written over
  // for as long as somebody might read it.
  const { common, planned } = await inTransaction(
    database,
    async (reading) => {
      const common = await loadPlanCommon(reading.db, request);
      if (!common) throw new Error('The project is gone.');
      if (!common.solver) {
        throw new PlanRefused('The project has no ring catalogue yet: choose one, then plan again.');
      }
      const progress = new PlanProgress(database, request, stopping);
      const planned = await makePlan({ database, reading, request, common, progress });
      await progress.end();
      return { common, planned };
    },
    'own',
  );
  const end = { warnings: common.warnings, planned: planned.count };
  if (planned.draft) await enforce(database, request, planned.draft, end);
  else {
    await underLock(database, request, async (transaction, planRevision) => {
      await markPlanned(transaction.db, request, common.inputRevision);
      await finish(transaction, request, { ...end, planRevision, unchanged: true });
    });
  }
}

type JobResult = Pick<JobEnd, 'warnings' | 'planned' | 'planRevision' | 'unchanged'>;

/** Puts a draft in force: in one transaction where one part is all of it. */
async function enforce(
  database: Database,
  request: PlanRequest,
  draft: FinishedDraft,
  result: JobResult,
): Promise<void> {
  const end = async (transaction: Transaction, entering: EnteringDraft, planRevision: number) => {
    await endInForce(transaction, request, entering);
    const { isNew, revision } = entering;
    await finish(transaction, request, {
      ...result,
      planRevision: isNew ? revision : planRevision,
      unchanged: !isNew,
    });
  };
  const laid = await inTransaction(database, (own) => lookOverDraft(own, request));
  const begun = await underLock(database, request, async (transaction, planRevision) => {
    const entering = await beginInForce(transaction, request, { draft, laid });
    if (!entering) throw new Error('The draft of the plan is gone.');
    if (!(await holdJob(transaction.db, request.agencyId, request.jobId))) throw new JobCancelled();
    if (entering.parts.length > 1) return entering;
    for (const part of entering.parts) await putPartInForce(transaction, request, entering, part);
    await end(transaction, entering, planRevision);
    return null;
  });
  if (!begun) return;
  const rows = await enterInLanes(database, request, begun);
  if (rows !== begun.rows) throw new Error('The draft of the plan was lost in a crash of the database.');
  await underLock(database, request, (own, planRevision) => end(own, begun, planRevision));
}

/** Parts that come into force at once: the database does each on one processor. */
const lanes = 2;

/**
 * Puts the parts in force, some at once from places far apart, each in a transaction of its own; gives how many covers they
 * had. Before they begin, whoever waits for the project has his turn.
 */
async function enterInLanes(
  database: Database,
  request: PlanRequest,
  entering: EnteringDraft,
): Promise<number> {
  const { parts } = entering;
  const apart = Math.ceil(parts.length / lanes);
  let rows = 0;
  for (let number = 0; number < apart; number++) {
    await underLock(database, request, async () => {});
    const together = parts.filter((_, at) => at % apart === number);
    const entered = await Promise.allSettled(
      together.map((part) =>
        inTransaction(database, async (own) => {
          if (!(await beginPart(own, request))) throw new Error('The project is gone.');
          return putPartInForce(own, request, entering, part);
        }),
      ),
    );
    for (const each of entered) {
      if (each.status === 'rejected') throw each.reason;
      rows += each.value;
    }
  }
  return rows;
}

/** Does a piece of work with the project's lock held, in one transaction. */
function underLock<Result>(
  database: Database,
  request: PlanRequest,
  work: (transaction: Transaction, planRevision: number) => Promise<Result>,
): Promise<Result> {
  return inTransaction(database, async (transaction) => {
    const locked = await lockProject(transaction.db, request);
    if (!locked) throw new Error('The project is gone.');
    return work(transaction, locked.planRevision);
  });
}

async function finish({ db }: Transaction, request: PlanRequest, result: JobResult): Promise<void> {
  const { agencyId, projectId, jobId } = request;
  if (!(await finishJob(db, agencyId, jobId, { state: 'done', ...result }))) throw new JobCancelled();
  await notifyProject(db, agencyId, projectId);
}

async function progressOf({ kysely: db }: Database, { agencyId, jobId }: PlanRequest): Promise<JobProgress> {
  const job = await findJob(db, agencyId, jobId);
  const { state = 'failed', done = 0, total = 0 } = job ?? {};
  return { jobId, state, done, total, secondsLeft: null };
}

function sayFailure(error: unknown): string {
  return error instanceof PlanRefused ? error.message : 'The plan failed; the log of the server says why.';
}
