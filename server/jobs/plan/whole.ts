import { setImmediate as nextTurn } from 'node:timers/promises';
import type { Database } from '../../store/database.ts';
import { addToDraft, type PlanDraft } from '../../store/plan/drafts.ts';
import { inTransaction, type Transaction } from '../../store/transaction.ts';
import type { PlanRequest } from '../queue.ts';
import type { PlanCommon } from './common.ts';
import { Band } from './content.ts';
import { DraftRows } from './draftRows.ts';
import { reachesOf } from './reach.ts';
import { planRegion, type Region, type Verdict } from './region.ts';
import type { Strip } from './strips.ts';

/** How long planning may hold the event loop before others get their turn. */
const sliceMs = 15;

export interface StripWork {
  database: Database;
  /** Where covers and shots are read: one moment for all strips. */
  reading: Transaction;
  request: PlanRequest;
  common: PlanCommon;
  /** May still be on its way while shots are read. */
  draft: DraftHead | Promise<DraftHead>;
  /** Called between slices with how many covers were planned since the last call; throws to end it. */
  tell: (covers: number) => void | Promise<void>;
}

export type DraftHead = Pick<PlanDraft, 'revision' | 'shotSigmas'>;

/** Another job has taken up the project's draft. */
export class DraftTaken extends Error {}

/** Plans neighbouring strips and lays the covers of each down in the draft; gives how many were planned anew. */
export async function planBand(work: StripWork, strips: readonly Strip[]): Promise<number> {
  const { reading, request, common } = work;
  const reach = reachesOf(common.policy);
  const band = await Band.read(reading, strips, { key: request, common, reach });
  const draft = await work.draft;
  let planned = 0;
  // The database takes one strip in, and reads the covers of the next one, while another is planned.
  let laying: Promise<void> = Promise.resolve();
  let covers = band.coversOf(strips[0]);
  try {
    for (const [at, strip] of strips.entries()) {
      const region = await band.region(await covers);
      if (at + 1 < strips.length) covers = quiet(band.coversOf(strips[at + 1]));
      const rows = await planStrip(work, draft, region);
      await laying;
      laying = quiet(layDown(work, strip, rows));
      planned += rows.planned;
    }
  } catch (error) {
    // Whatever ends the plan drops the draft next, and nothing may be laid down in it after that.
    await laying.catch(() => {});
    throw error;
  }
  await laying;
  return planned;
}

/** What fails while nobody waits for it is met by whoever does later. */
function quiet<Result>(work: Promise<Result>): Promise<Result> {
  work.catch(() => {});
  return work;
}

async function planStrip(
  { request, common, tell }: StripWork,
  { revision, shotSigmas }: DraftHead,
  region: Region | null,
): Promise<DraftRows> {
  const { agencyId, projectId } = request;
  const rows = new DraftRows({ agencyId, projectId, revision });
  if (region) await inSlices(planRegion(common, shotSigmas, region), rows, tell);
  return rows;
}

async function layDown({ database, request }: StripWork, { number }: Strip, rows: DraftRows): Promise<void> {
  const part = { strip: number, ...rows.end() };
  const isMine = await inTransaction(database, (transaction) => addToDraft(transaction, request, part));
  if (!isMine) throw new DraftTaken('Another job plans the project');
}

/** Plans cover after cover, and lets others have their turn between them. */
export async function inSlices(
  verdicts: Iterable<Verdict>,
  rows: DraftRows,
  tell: (covers: number) => void | Promise<void>,
): Promise<void> {
  let [sliceStart, told] = [performance.now(), 0];
  for (const verdict of verdicts) {
    rows.add(verdict);
    if (performance.now() - sliceStart < sliceMs) continue;
    await nextTurn();
    await tell(rows.covers - told);
    told = rows.covers;
    sliceStart = performance.now();
  }
  await tell(rows.covers - told);
}
