import { availableParallelism } from 'node:os';
import { cellSide } from '../../store/cell.ts';
import type { Database } from '../../store/database.ts';
import { type CellRun, joinRuns, runsAround } from '../../store/plan/cellRuns.ts';
import { type ChangedCell, findChangedCells } from '../../store/plan/changes.ts';
import { countCoversByRow } from '../../store/plan/coverRows.ts';
import { addToDraft, beginDraft, findDraft, type PlanDraft } from '../../store/plan/drafts.ts';
import type { FinishedDraft } from '../../store/plan/putInForce.ts';
import { countShotsUpTo, estimateShots } from '../../store/plan/shotInputs.ts';
import { findPlanInForce, findPlanState, type PlanInForce } from '../../store/plans.ts';
import { exportSnapshot, inTransaction, type Transaction } from '../../store/transaction.ts';
import type { PlanRequest } from '../queue.ts';
import type { PlanCommon } from './common.ts';
import { readRegion } from './content.ts';
import { DraftRows } from './draftRows.ts';
import type { PlanProgress } from './progress.ts';
import { type Reach, reachesOf } from './reach.ts';
import { planRegion, type Region } from './region.ts';
import { settleSigmas } from './sigmas.ts';
import { cutIntoStrips, joinIntoBands, type Strip } from './strips.ts';
import { planInThreads, settleInThread } from './thread.ts';
import { inSlices, planBand } from './whole.ts';

export interface PlanWork {
  database: Database;
  /** Reads all inputs as of one moment. */
  reading: Transaction;
  request: PlanRequest;
  common: PlanCommon;
  progress: PlanProgress;
}

/** A plan that is drafted, or null where inputs are those of the plan in force; and how many covers were planned anew. */
export interface Planned {
  draft: FinishedDraft | null;
  count: number;
}

/** More covers than this around changed places, and the project is gone through strip by strip. */
const mostAtOnce = 4000;
/** A project with no more covers and shots is planned without threads, whose start would take longer. */
const fewCovers = 2000;
const fewShots = 60_000;
/** Threads beyond these would wait for the database. */
export const mostPlanThreads = 4;

/** Drafts a plan of whatever changed since the one in force; all of it where there is none, or one of other limits. */
export async function makePlan(work: PlanWork): Promise<Planned> {
  const { reading, request, common } = work;
  const inForce = await findPlanInForce(reading.db, request);
  const state = await findPlanState(reading.db, request);
  const own = await findDraft(work.database.kysely, request, request.jobId);
  const isOfOtherInputs = inForce === null || inForce.commonHash !== common.hash;
  if (!isOfOtherInputs && !own) {
    const span = { after: state.plannedInputRevision, upTo: common.inputRevision };
    const cells = await findChangedCells(reading.db, request, span);
    if (cells?.length === 0) return unchanged(work);
    const region = cells && (await regionAround(work, cells));
    if (cells && region === null) return unchanged(work);
    if (region && region.covers.length <= mostAtOnce) {
      return planPart(work, { inForce, region, revision: state.nextRevision });
    }
  }
  return planWhole(work, { own, revision: state.nextRevision });
}

async function unchanged({ progress, reading, request }: PlanWork): Promise<Planned> {
  const total = sumOf(await countCoversByRow(reading.sql, request));
  await progress.begin(total, total);
  return { draft: null, count: 0 };
}

/** What changed in a cell is asked for by covers within reach of it, and they ask for shots within reach of them. */
async function regionAround(
  { reading, request, common }: PlanWork,
  cells: readonly ChangedCell[],
): Promise<Region | null> {
  const reach = reachesOf(common.policy);
  const around = (asked: Reach): CellRun[] =>
    joinRuns(cells.flatMap(({ cell, isFar }) => runsAround([cell], isFar ? asked.far : asked.near)));
  const beyond = (more: number): Reach => ({ near: reach.near + more, far: reach.far + more });
  return readRegion(reading, request, common, {
    covers: around(reach),
    // Whole cells are hashed, so those at the edge of a cover's reach are asked for too.
    shots: around(beyond(reach.near + 2 * cellSide)),
    lineShots: around(beyond(reach.far + 2 * cellSide)),
    reach,
  });
}

async function planPart(
  { database, request, common, progress }: PlanWork,
  { inForce, region, revision }: { inForce: PlanInForce; region: Region; revision: number },
): Promise<Planned> {
  await progress.begin(region.covers.length);
  const { shotSigmas } = inForce;
  const { agencyId, projectId } = request;
  const rows = new DraftRows({ agencyId, projectId, revision });
  await inSlices(planRegion(common, shotSigmas, region), rows, (covers) => progress.add(covers));
  const draft = { revision, inputRevision: common.inputRevision, commonHash: common.hash, shotSigmas };
  if (rows.planned === 0) return { draft: null, count: 0 };
  await inTransaction(database, async (transaction) => {
    await beginDraft(transaction.db, request, draft);
    await addToDraft(transaction, request, { strip: null, ...rows.end() });
  });
  return { draft, count: rows.planned };
}

async function planWhole(
  work: PlanWork,
  { own, revision }: { own: PlanDraft | null; revision: number },
): Promise<Planned> {
  const { reading, request, common, progress, database } = work;
  const strips = cutIntoStrips(await countCoversByRow(reading.sql, request));
  const total = sumOf(strips);
  const surfaceIds = common.groups.flatMap(({ ids, form }) => (form === 'shots' ? ids : []));
  const isSmall = total <= fewCovers && (await areFew(work, surfaceIds));
  const begun = isOfTheseInputs(own, common, revision) ? own : null;
  const left = begun ? strips.filter(({ number }) => !begun.stripsDone.includes(number)) : strips;
  await progress.begin(total, begun?.coversDone);
  if (left.length === 0) return { draft: begun ?? (await beginWhole(work, revision, isSmall)), count: 0 };
  if (isSmall) {
    const draft = begun ?? (await beginWhole(work, revision, isSmall));
    const tell = (covers: number) => progress.add(covers);
    return { draft, count: await planBand({ database, reading, request, common, draft, tell }, left) };
  }
  const threads = Math.min(mostPlanThreads, availableParallelism(), left.length);
  const data = { task: 'strips' as const, ...(await threadData(work)) };
  const tell = (covers: number): void => {
    // What ends the job shows in `ending`.
    progress.add(covers).catch(() => {});
  };
  const draft = begun ? Promise.resolve(begun) : beginWhole(work, revision, isSmall);
  const head = draft.then(({ revision, shotSigmas }) => ({ revision, shotSigmas }));
  const shots = surfaceIds.length === 0 ? 0 : await estimateShots(reading.sql, request, surfaceIds);
  const bands = joinIntoBands(left, { threads, shots });
  const count = await planInThreads(data, { bands, draft: head }, { threads, tell, ending: progress.ending });
  return { draft: await draft, count };
}

const threadData = async ({ database, reading, request }: PlanWork) => ({
  target: database.target,
  request,
  snapshot: await exportSnapshot(reading),
});

const sumOf = (parts: readonly Pick<Strip, 'covers'>[]): number =>
  parts.reduce((sum, { covers }) => sum + covers, 0);

/** What was drafted before an interruption counts only while everything is as it was then. */
const isOfTheseInputs = (own: PlanDraft | null, common: PlanCommon, revision: number): own is PlanDraft =>
  own !== null &&
  own.inputRevision === common.inputRevision &&
  own.commonHash === common.hash &&
  own.revision === revision;

async function beginWhole(work: PlanWork, revision: number, isSmall: boolean) {
  const { reading, request, common, database, progress } = work;
  const shotSigmas = isSmall
    ? await settleSigmas(reading.sql, request, common, reachesOf(common.policy).far)
    : await settleInThread({ task: 'sigmas', ...(await threadData(work)) }, progress.ending);
  const { inputRevision, hash: commonHash } = common;
  const draft = { revision, inputRevision, commonHash, shotSigmas };
  await inTransaction(database, ({ db }) => beginDraft(db, request, draft));
  return { ...draft, stripsDone: [], coversDone: 0 };
}

async function areFew({ reading, request }: PlanWork, surfaceIds: readonly string[]): Promise<boolean> {
  if (surfaceIds.length === 0) return true;
  const limit = fewShots + 1;
  return (await countShotsUpTo(reading.sql, request, { surfaceIds, limit })) < limit;
}
