import { Worker } from 'node:worker_threads';
import type { ConnectionTarget } from '../../store/database.ts';
import type { PlanDraft } from '../../store/plan/drafts.ts';
import type { PlanRequest } from '../queue.ts';
import type { Strip } from './strips.ts';

/** What a thread that plans strips is started with. */
export interface ThreadData {
  target: ConnectionTarget;
  request: PlanRequest;
  draft: Pick<PlanDraft, 'revision' | 'shotSigmas'>;
  /** The moment that all threads read the database at. */
  snapshot: string;
}

/** What a thread says: so many covers more are planned, or those strips are done. */
export type ThreadMessage = { covers: number } | { planned: number } | 'ready';

/** Heap of a thread, MB. The shots of a strip lie in it, those of the band outside. */
const heap = 384;
/** Connections of a thread: one reads, the other one writes. */
export const planThreadConnections = 2;
/** Niceness of a thread, beside 0 of the one that answers requests. */
export const planPriority = 10;
/** Most of what planning a cover makes is done with at once: with room for it, little of it is looked at again. */
const youngHeap = 64;

/** Plans bands of strips in threads, each taking the next one when it has done one. */
export async function planInThreads(
  data: ThreadData,
  bands: readonly (readonly Strip[])[],
  { threads, tell, ending }: { threads: number; tell: (covers: number) => void; ending: AbortSignal },
): Promise<number> {
  const left = [...bands];
  let planned = 0;
  const workers: Worker[] = [];
  const runOne = (): Promise<void> => {
    const script = new URL('./threadMain.ts', import.meta.url);
    const worker = new Worker(script, {
      workerData: data,
      resourceLimits: { maxOldGenerationSizeMb: heap, maxYoungGenerationSizeMb: youngHeap },
    });
    workers.push(worker);
    const { promise, resolve, reject } = Promise.withResolvers<void>();
    const next = (): void => {
      worker.postMessage(left.shift() ?? 'end');
    };
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
