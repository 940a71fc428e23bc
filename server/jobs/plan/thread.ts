import { Worker } from 'node:worker_threads';
import type { ConnectionTarget } from '../../store/database.ts';
import type { SigmaChoices } from '../../store/plan/tables.ts';
import type { PlanRequest } from '../queue.ts';
import type { Strip } from './strips.ts';
import type { DraftHead } from './whole.ts';

/** What a thread that settles sigmas is started with. */
export interface SigmaData {
  task: 'sigmas';
  target: ConnectionTarget;
  request: PlanRequest;
  /** The moment that all threads read the database at. */
  snapshot: string;
}

/** What a thread that plans strips is started with. */
export type ThreadData = Omit<SigmaData, 'task'> & { task: 'strips' };

/** What a thread is told: a band to plan; once, the draft that it is planned for; or that there are no more. */
export type ThreadOrder = { band: readonly Strip[] } | { draft: DraftHead } | 'end';

/** What a thread says: so many covers more are planned, or those strips are done. */
export type ThreadMessage = { covers: number } | { planned: number } | 'ready';

/** Heap of a thread, MB. The covers of a strip or two lie in it, all shots outside. */
const heap = 384;
/** Connections of a thread: one reads, the other one writes. */
export const planThreadConnections = 2;
/** Most of what planning a cover makes is done with at once: with room for it, little of it is looked at again. */
const youngHeap = 64;

const script = new URL('./threadMain.ts', import.meta.url);
const resourceLimits = { maxOldGenerationSizeMb: heap, maxYoungGenerationSizeMb: youngHeap };

/** Settles the sigmas of a project's surveys in a thread: half a second of reckoning that answers would wait for. */
export async function settleInThread(data: SigmaData, ending: AbortSignal): Promise<SigmaChoices> {
  const worker = new Worker(script, { workerData: data, resourceLimits });
  const stop = (): void => void worker.terminate();
  ending.addEventListener('abort', stop);
  try {
    return await new Promise<SigmaChoices>((resolve, reject) => {
      worker.once('message', resolve);
      worker.once('error', reject);
      worker.once('exit', () => reject(ending.reason ?? new Error('The thread that settles sigmas ended')));
    });
  } finally {
    ending.removeEventListener('abort', stop);
    await worker.terminate();
  }
}

/**
 * Plans bands of strips in threads, each taking the next one when it has done one. Threads start at once, and read the shots
 * of their first band while the draft that they plan for is still being begun.
 */
export async function planInThreads(
  data: ThreadData,
  { bands, draft }: { bands: readonly (readonly Strip[])[]; draft: Promise<DraftHead> },
  { threads, tell, ending }: { threads: number; tell: (covers: number) => void; ending: AbortSignal },
): Promise<number> {
  const left = [...bands];
  let planned = 0;
  const workers: Worker[] = [];
  const runOne = (): Promise<void> => {
    const worker = new Worker(script, { workerData: data, resourceLimits });
    workers.push(worker);
    const { promise, resolve, reject } = Promise.withResolvers<void>();
    const order = (given: ThreadOrder): void => worker.postMessage(given);
    const next = (): void => {
      const band = left.shift();
      order(band ? { band } : 'end');
    };
    draft.then((begun) => order({ draft: begun }), reject);
    worker.on('message', (message: ThreadMessage) => {
      if (message === 'ready') next();
      else if ('covers' in message) tell(message.covers);
      else {
        planned += message.planned;
        next();
      }
    });
    worker.once('error', reject);
    worker.once('exit', () => resolve());
    return promise;
  };
  const stop = (): void => {
    for (const worker of workers) void worker.terminate();
  };
  ending.addEventListener('abort', stop);
  try {
    await Promise.all(Array.from({ length: Math.min(threads, bands.length) }, runOne));
  } finally {
    ending.removeEventListener('abort', stop);
    await Promise.all(workers.map((worker) => worker.terminate()));
  }
  ending.throwIfAborted();
  return planned;
}
