import { counted } from '#core/units/count.ts';
import { notifyImport } from '../staging/notice.ts';
import { readImport } from '../staging/read.ts';
import { storeImport } from '../staging/store.ts';
import { ImportRefused, ImportStopped, Progress, type Work, type WorkContext } from '../staging/work.ts';
import type { Database } from '../store/database.ts';
import { crsOf, findProjectHead } from '../store/projects.ts';
import { findImport, type ImportRecord, moveImport } from '../store/staging/batches.ts';
import { JobInterrupted } from './plan/ends.ts';
import type { ImportRequest } from './queue.ts';

/**
 * Reads or stores an import. May be run again for the same request at any time: what is not wanted any more changes
 * nothing, and a storing is one transaction that ends with the state of the import.
 */
export async function runImportJob(
  context: WorkContext,
  request: ImportRequest,
  { stopping, log }: { stopping: AbortSignal; log: (error: unknown) => void },
): Promise<void> {
  const { database } = context;
  const { runId, task } = request;
  const record = await findImport(database.kysely, request);
  const isWanted = record?.state === (task === 'read' ? 'reading' : 'storing') && record.runId === runId;
  if (!isWanted) return;
  try {
    const work = await prepare(context, record, runId, stopping);
    await (task === 'read' ? read(work) : store(work));
  } catch (error) {
    if (stopping.aborted) throw new JobInterrupted('The server is stopping');
    if (error instanceof ImportStopped) return;
    if (!(error instanceof ImportRefused)) log(error);
    await fail(database, record, { runId, task, error });
  }
  await tell(database, record);
}

async function prepare(
  context: WorkContext,
  record: ImportRecord,
  runId: string,
  stopping: AbortSignal,
): Promise<Work> {
  const project = await findProjectHead(context.database.kysely, record.agencyId, record.projectId);
  if (!project) throw new Error('The project is gone');
  const progress = new Progress(context, record, runId, stopping);
  return { context, record, runId, project, crs: crsOf(project.crs), progress };
}

async function read(work: Work): Promise<void> {
  const { context, record, runId } = work;
  const { preview, remembered } = await readImport(work);
  const open = preview.questions.filter(({ isOpen }) => isOpen).length;
  const { new: isNew, changed, same, refused } = preview.counts;
  const counts = `${isNew} new, ${changed} changed, ${same} the same, ${refused} refused`;
  const said =
    open > 0
      ? `Read: ${counts}; ${counted(open, 'question')} to answer`
      : `Read: ${counts}; ready to be stored`;
  await moveImport(
    context.database.kysely,
    record,
    { from: ['reading'], runId },
    { state: 'ready', said, runId: null, interruptions: 0, preview, remembered },
  );
}

async function store(work: Work): Promise<void> {
  await storeImport(work);
  const { context, record } = work;
  await context.uploads.removeParts(record.importId);
}

async function fail(
  { kysely: db }: Database,
  record: ImportRecord,
  { runId, task, error }: { runId: string; task: ImportRequest['task']; error: unknown },
): Promise<void> {
  const why =
    error instanceof ImportRefused
      ? error.message
      : isDiskFull(error)
        ? 'the disk of the server is full'
        : isFileGone(error)
          ? 'its bytes are not in the uploads folder of this server (DATA_DIR); put that folder back, or upload it again'
          : 'the log of the server says why';
  const [state, said] =
    task === 'read'
      ? (['failed', `The file cannot be read: ${why}`] as const)
      : (['ready', `Storing failed and nothing was stored: ${why}`] as const);
  const from = task === 'read' ? (['reading'] as const) : (['storing'] as const);
  await moveImport(db, record, { from, runId }, { state, said, runId: null });
}

/** ENOSPC of the system, 53100 of PostgreSQL (appendix A, disk_full). */
const isDiskFull = (error: unknown): boolean =>
  ['ENOSPC', '53100'].includes((error as NodeJS.ErrnoException).code ?? '');

/** Servers on one database share their uploads; a folder that was lost or left behind shows here. */
const isFileGone = (error: unknown): boolean => (error as NodeJS.ErrnoException).code === 'ENOENT';

async function tell({ kysely: db }: Database, record: ImportRecord): Promise<void> {
  const now = await findImport(db, record);
  if (now) await notifyImport(db, record, { state: now.state, ...now.progress });
}
