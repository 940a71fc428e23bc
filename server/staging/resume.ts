import type { AppContext } from '../context.ts';
import { findImport, listImportsIn, moveImport } from '../store/staging/batches.ts';
import { notifyImport } from './notice.ts';
import { filesOf, startReading } from './requests.ts';

type Context = Pick<AppContext, 'database' | 'queue' | 'uploads'>;

/** After so many ends of the server in the middle of it, a file is not read again by itself. */
const mostInterruptions = 2;

/**
 * After a start: says what became of the imports that the server before this one had in hand. What was being read is
 * read again; what was being stored was undone by the database and waits to be stored again.
 */
export async function resumeImports(context: Context): Promise<void> {
  const db = context.database.kysely;
  for (const { agencyId, importId, state } of await listImportsIn(db, ['uploading', 'reading', 'storing'])) {
    const record = await findImport(db, { agencyId, importId });
    if (!record) continue;
    if (state === 'storing') {
      const said = 'The server ended while it was storing; nothing was stored. Store it again';
      await moveImport(db, record, { from: ['storing'] }, { state: 'ready', said, runId: null });
    } else if (state === 'reading') await readOnceMore(context, record);
    else await goOn(context, record);
  }
}

async function readOnceMore(
  context: Context,
  record: NonNullable<Awaited<ReturnType<typeof findImport>>>,
): Promise<void> {
  const db = context.database.kysely;
  const interruptions = record.interruptions + 1;
  if (interruptions >= mostInterruptions) {
    const said = `The server ended ${interruptions} times while it was reading the file; nothing was stored`;
    const to = { state: 'failed' as const, said, runId: null, interruptions };
    await moveImport(db, record, { from: ['reading'] }, to);
    return;
  }
  const said = 'The server ended while it was reading the file; nothing was stored, it is being read again';
  await startReading(context, record, ['reading'], { said, interruptions });
}

/** Reads an upload whose last byte came just before the end of its server; false where bytes are missing. */
async function readIfWhole(
  context: Context,
  record: NonNullable<Awaited<ReturnType<typeof findImport>>>,
): Promise<boolean> {
  const files = await filesOf(context, record);
  if (!files.every(({ receivedBytes, sizeBytes }) => receivedBytes === sizeBytes)) return false;
  const said = 'All bytes are here; the file is being read';
  await startReading(context, record, ['uploading'], { said });
  return true;
}

/**
 * On a shared database: takes up what the queue will do no more. Whatever still stands in the queue belongs to some server
 * and is left alone.
 */
export async function resumeStrayImports(context: Context): Promise<void> {
  const db = context.database.kysely;
  for (const { agencyId, importId, state } of await listImportsIn(db, ['uploading', 'reading', 'storing'])) {
    const record = await findImport(db, { agencyId, importId });
    if (record?.state !== state) continue;
    if (state === 'uploading') await readIfWhole(context, record);
    else if (record.runId && (await context.queue.fateOf('import', record.runId)) !== 'pending')
      await giveBack(context, record, record.runId);
  }
}

/** Servers ended again and again in the middle of it, so nobody tries it by itself any more. */
async function giveBack(
  { database: { kysely: db } }: Context,
  record: NonNullable<Awaited<ReturnType<typeof findImport>>>,
  runId: string,
): Promise<void> {
  const read = 'Every server ended while it was reading the file; nothing was stored';
  const store = 'Every server ended while it was storing; nothing was stored. Store it again';
  const failed = { state: 'failed' as const, said: read, runId: null };
  const ready = { state: 'ready' as const, said: store, runId: null };
  await moveImport(db, record, { from: ['reading'], runId }, failed);
  await moveImport(db, record, { from: ['storing'], runId }, ready);
  const now = await findImport(db, record);
  if (now) await notifyImport(db, now, { state: now.state, ...now.progress });
}

/** An upload goes on where it is; one whose last byte came just before the end is read now. */
async function goOn(
  context: Context,
  record: NonNullable<Awaited<ReturnType<typeof findImport>>>,
): Promise<void> {
  if (await readIfWhole(context, record)) return;
  const files = await filesOf(context, record);
  const received = files.reduce((sum, file) => sum + file.receivedBytes, 0);
  const total = files.reduce((sum, file) => sum + file.sizeBytes, 0);
  if (received === 0) return;
  const said = `The server ended during the upload; ${received} of ${total} bytes are kept. Send the rest`;
  await moveImport(context.database.kysely, record, { from: ['uploading'] }, { state: 'uploading', said });
}
