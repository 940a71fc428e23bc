import { Worker } from 'node:worker_threads';
import type { UploadLimits } from '../context.ts';
import { notifyImport } from '../staging/notice.ts';
import type { ConnectionTarget, Database } from '../store/database.ts';
import { findImport, moveImport } from '../store/staging/batches.ts';
import { JobInterrupted } from './plan/ends.ts';
import type { ImportRequest } from './queue.ts';

/** What a thread is started with. */
export interface ThreadData {
  target: ConnectionTarget;
  dataFolder: string;
  uploadLimits: UploadLimits;
  request: ImportRequest;
}

/** What a thread says. */
export type ThreadMessage = { kind: 'fault'; message: string } | { kind: 'interrupted' };

/**
 * Heap of a thread, MB. Files are read in a stream, so most need little whatever their size; a register is compared as a
 * whole, and one of hundreds of thousands of structures gets its second try with more.
 */
const heaps = [96, 1024] as const;
const youngHeap = 8;
/** Connections of a thread: its transaction, what it reads meanwhile, and how far it has come. */
export const importConnections = 4;

/**
 * Reads or stores an import in a thread of its own: requests are answered meanwhile, its memory goes back when it ends,
 * and a file that needs too much of it fails alone.
 */
export async function runImportInThread(
  database: Database,
  data: ThreadData,
  { stopping, log }: { stopping: AbortSignal; log: (error: unknown) => void },
): Promise<void> {
  for (const heap of heaps) {
    if (stopping.aborted) throw new JobInterrupted('The server is stopping');
    try {
      await runOnce(data, heap, { stopping, log });
      return;
    } catch (error) {
      if (error instanceof JobInterrupted) throw error;
      if (isOutOfMemory(error) && heap !== heaps.at(-1)) continue;
      log(error);
      await giveUp(database, data.request, error);
      return;
    }
  }
}

async function runOnce(
  data: ThreadData,
  heap: number,
  { stopping, log }: { stopping: AbortSignal; log: (error: unknown) => void },
): Promise<void> {
  const resourceLimits = { maxYoungGenerationSizeMb: youngHeap, maxOldGenerationSizeMb: heap };
  const script = new URL('./importThreadMain.ts', import.meta.url);
  const worker = new Worker(script, { workerData: data, resourceLimits });
  const stop = () => worker.postMessage('stop');
  stopping.addEventListener('abort', stop);
  let interrupted = false;
  worker.on('message', (message: ThreadMessage) => {
    if (message.kind === 'interrupted') interrupted = true;
    else log(new Error(message.message));
  });
  const { promise, resolve, reject } = Promise.withResolvers<void>();
  worker.once('error', reject);
  worker.once('exit', () => resolve());
  try {
    await promise;
  } finally {
    stopping.removeEventListener('abort', stop);
  }
  if (interrupted) throw new JobInterrupted('The server is stopping');
}

const isOutOfMemory = (error: unknown): boolean =>
  (error as NodeJS.ErrnoException).code === 'ERR_WORKER_OUT_OF_MEMORY';

async function giveUp({ kysely: db }: Database, request: ImportRequest, error: unknown): Promise<void> {
  const why = isOutOfMemory(error)
    ? 'it needs more memory than an import may take'
    : 'the log of the server says why';
  const { runId } = request;
  const read = { state: 'failed' as const, said: `The file cannot be read: ${why}`, runId: null };
  const store = {
    state: 'ready' as const,
    said: `Storing failed and nothing was stored: ${why}`,
    runId: null,
  };
  await moveImport(db, request, { from: ['reading'], runId }, read);
  await moveImport(db, request, { from: ['storing'], runId }, store);
  const now = await findImport(db, request);
  if (now) await notifyImport(db, now, { state: now.state, ...now.progress });
}
