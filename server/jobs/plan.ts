import { setImmediate as nextTurn } from 'node:timers/promises';
import { prepareSurvey } from '#core/plan/plan.ts';
import { planInProject, prepareProject } from '#core/plan/planInProject.ts';
import { faceSource, type Source, shotSource } from '#core/plan/sources.ts';
import type { CoverPlan } from '#core/plan/types.ts';
import { makeSolver } from '#core/stack/solve.ts';
import { defaultDesignLimits, layOutDesign } from '#core/surface/design.ts';
import { layOutSurvey } from '#core/surface/survey.ts';
import type { JobProgress } from '#shared/job.ts';
import type { Database } from '../store/database.ts';
import { findJob, finishJob, reportJob, startJob } from '../store/jobs.ts';
import { notify, notifyProject } from '../store/notices.ts';
import { findPlanInForce, insertPlan, lockProject, markPlanned } from '../store/plans.ts';
import { loadPlanInputs, type PlanInputs } from './inputs.ts';
import type { PlanRequest } from './queue.ts';
import type { SurfaceInput } from './surfaces.ts';

/** The server is stopping: the job goes back to the queue and is done after the next start. */
export class JobInterrupted extends Error {}

/** Ends a job early without its being a failure: somebody cancelled it. */
class JobCancelled extends Error {}

/** A fault that the user can mend; its message is for people. */
class PlanRefused extends Error {}

/** How long planning may hold the event loop before requests get their turn. */
const sliceMs = 15;
/** How often progress is written and told. */
const progressMs = 250;

/**
 * Plans all covers of a project and puts the result in force in one transaction. May be run again for the same
 * job at any time: inputs with the hash of the plan in force change nothing.
 */
export async function runPlanJob(
  database: Database,
  request: PlanRequest,
  { stopping, log }: { stopping: AbortSignal; log: (error: unknown) => void },
): Promise<void> {
  const { kysely: db } = database;
  const { agencyId, jobId } = request;
  try {
    if (!(await startJob(db, agencyId, jobId))) return;
    await planProject(database, request, stopping);
  } catch (error) {
    if (error instanceof JobInterrupted) throw error;
    if (!(error instanceof JobCancelled)) {
      if (!(error instanceof PlanRefused)) log(error);
      await finishJob(db, agencyId, jobId, { state: 'failed', error: sayFailure(error) });
    }
  }
  await notify(db, { kind: 'job', agencyId, ...(await progressOf(database, request)) });
}

async function planProject(database: Database, request: PlanRequest, stopping: AbortSignal): Promise<void> {
  const { kysely: db } = database;
  const { agencyId, projectId, jobId } = request;
  const inputs = await db
    .transaction()
    .setIsolationLevel('repeatable read')
    .execute((transaction) => loadPlanInputs(transaction, agencyId, projectId));
  if (!inputs) throw new Error('The project is gone.');
  if (!inputs.catalogue) {
    throw new PlanRefused('The project has no ring catalogue yet: choose one, then plan again.');
  }
  const inForce = await findPlanInForce(db, request);
  const unchanged = inForce?.inputsHash === inputs.hash;
  const total = inputs.covers.length;
  if (unchanged) await tellProgress(database, request, { done: total, total });
  const outcomes = unchanged ? [] : await planAll(database, request, inputs, stopping);
  await db.transaction().execute(async (transaction) => {
    const locked = await lockProject(transaction, request);
    if (!locked) throw new Error('The project is gone.');
    const { inputRevision, hash } = inputs;
    const revision = unchanged ? inForce.revision : locked.planRevision + 1;
    if (unchanged) await markPlanned(transaction, request, { revision, inputRevision });
    else
      await insertPlan(transaction, request, { revision, inputsHash: hash, inputRevision, jobId, outcomes });
    const end = { state: 'done' as const, planRevision: revision, unchanged, warnings: inputs.warnings };
    if (!(await finishJob(transaction, agencyId, jobId, end))) throw new JobCancelled();
    await notifyProject(transaction, agencyId, projectId);
  });
}

async function planAll(
  database: Database,
  request: PlanRequest,
  inputs: PlanInputs,
  stopping: AbortSignal,
): Promise<{ structureId: string; outcome: CoverPlan }[]> {
  const { covers, policy, treatment, catalogue } = inputs;
  await tellProgress(database, request, { done: 0, total: covers.length });
  const sources = inputs.surfaces.map((surface) => toSource(surface, inputs));
  const project = prepareProject(sources, { treatment, solver: makeSolver(catalogue!), policy });
  const outcomes: { structureId: string; outcome: CoverPlan }[] = [];
  let [sliceStart, toldAt] = [performance.now(), performance.now()];
  for (const cover of covers) {
    outcomes.push({ structureId: cover.id, outcome: planInProject(cover, project) });
    if (performance.now() - sliceStart < sliceMs) continue;
    await nextTurn();
    if (stopping.aborted) throw new JobInterrupted('The server is stopping');
    sliceStart = performance.now();
    if (sliceStart - toldAt < progressMs) continue;
    await tellProgress(database, request, { done: outcomes.length, total: covers.length });
    toldAt = performance.now();
  }
  await tellProgress(database, request, { done: outcomes.length, total: covers.length });
  return outcomes;
}

/** A stored surface laid out for the look-ups of planning. */
function toSource({ content, ...name }: SurfaceInput, { covers, policy, breakLines }: PlanInputs): Source {
  if (content.form === 'shots') {
    const options = { policy, name: name.name, lines: breakLines };
    return shotSource(name, prepareSurvey(content.shots, covers, options), policy);
  }
  const { maxGradient, longestSide } = policy;
  const design = layOutDesign({ name: name.name, ...content.faces }, 1);
  const noShots = layOutSurvey([], name.name, policy.shotSigma);
  return faceSource(name, design, { noShots, limits: { ...defaultDesignLimits, maxGradient, longestSide } });
}

async function tellProgress(
  { kysely: db }: Database,
  { agencyId, jobId }: PlanRequest,
  progress: { done: number; total: number },
): Promise<void> {
  if (!(await reportJob(db, agencyId, jobId, progress))) throw new JobCancelled();
  await notify(db, { kind: 'job', agencyId, jobId, state: 'running', ...progress });
}

async function progressOf({ kysely: db }: Database, { agencyId, jobId }: PlanRequest): Promise<JobProgress> {
  const job = await findJob(db, agencyId, jobId);
  return { jobId, state: job?.state ?? 'failed', done: job?.done ?? 0, total: job?.total ?? 0 };
}

function sayFailure(error: unknown): string {
  return error instanceof PlanRefused ? error.message : 'The plan failed; the log of the server says why.';
}
