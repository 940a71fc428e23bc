import { parentPort, workerData } from 'node:worker_threads';
import { openDatabase } from '../store/database.ts';
import { UploadFolder } from '../uploads/folder.ts';
import { runImportJob } from './imports.ts';
import { importConnections, type ThreadData, type ThreadMessage } from './importThread.ts';
import { JobInterrupted } from './plan/ends.ts';

/** What a thread of importThread.ts does: one job, then it ends. */

const { target, dataFolder, uploadLimits, request } = workerData as ThreadData;
const stopping = new AbortController();
const say = (message: ThreadMessage): void => parentPort!.postMessage(message);
parentPort!.on('message', () => stopping.abort());

const database = openDatabase(target, importConnections);
const context = { database, uploads: new UploadFolder(dataFolder), uploadLimits };
const log = (error: unknown): void =>
  say({ kind: 'fault', message: error instanceof Error ? (error.stack ?? error.message) : String(error) });
try {
  await runImportJob(context, request, { stopping: stopping.signal, log });
} catch (error) {
  if (error instanceof JobInterrupted) say({ kind: 'interrupted' });
  else throw error;
} finally {
  await database.close();
  parentPort!.close();
}
