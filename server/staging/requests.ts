import { randomUUID } from 'node:crypto';
import type { Readable } from 'node:stream';
import { counted } from '#core/units/count.ts';
import type {
  ImportAnswers,
  ImportCreate,
  ImportState,
  ImportTarget,
  UploadFile,
} from '#shared/staged-import.ts';
import type { AppContext } from '../context.ts';
import { HttpProblem } from '../http-problem.ts';
import {
  findImport,
  type ImportKey,
  type ImportRecord,
  insertImport,
  moveImport,
} from '../store/staging/batches.ts';
import { checkAnswers, checkTarget } from './answers.ts';
import { notifyImport } from './notice.ts';

type Context = Pick<AppContext, 'database' | 'queue' | 'uploads' | 'uploadLimits'>;

/** When bytes that come or change now are thrown away, if nobody stores them. */
export function keepUntil({ uploadLimits }: Pick<AppContext, 'uploadLimits'>, now = new Date()): Date {
  return new Date(now.getTime() + uploadLimits.keepDays * 86_400_000);
}

const megabyte = 2 ** 20;

/** Makes room for an upload and says under which name. Throws a problem where it is too large. */
export async function createImport(
  context: Context,
  { agencyId, id: projectId }: { agencyId: string; id: string },
  { files, target = {} }: ImportCreate,
): Promise<ImportKey> {
  checkTarget(target);
  const total = files.reduce((sum, { sizeBytes }) => sum + sizeBytes, 0);
  const { maxBytes } = context.uploadLimits;
  if (total > maxBytes) {
    const size = (total / megabyte).toFixed(1);
    throw new HttpProblem(413, `${size} MB are too large: the limit is ${maxBytes / megabyte} MB.`, {
      errors: [{ path: '/files', message: `at most ${maxBytes} bytes`, value: total }],
    });
  }
  if (!(await context.uploads.hasRoomFor(total))) throw noSpace();
  const key = { agencyId, importId: randomUUID() };
  await context.uploads.create(key.importId);
  const named = files.map(({ name, sizeBytes }) => ({ name: cleanName(name), sizeBytes }));
  await context.database.kysely.transaction().execute((db) =>
    insertImport(db, {
      ...key,
      projectId,
      target,
      files: named,
      keptUntil: keepUntil(context),
      said: `Waiting for ${named.map(({ name }) => name).join(', ')}`,
    }),
  );
  return key;
}

function noSpace(): HttpProblem {
  return new HttpProblem(507, 'The disk of the server has no room for this file.');
}

/** What people called a file: no folders, nothing unprintable. */
function cleanName(name: string): string {
  const base = name.split(/[\\/]/).pop() ?? '';
  const printable = [...base].filter((character) => character >= ' ' && character !== '\u007f').join('');
  return printable.trim().slice(0, 200) || 'upload';
}

/** How far the files of an import have come. Once they are stored or thrown away, all of it counts as received. */
export async function filesOf(
  { uploads }: Pick<AppContext, 'uploads'>,
  record: ImportRecord,
): Promise<UploadFile[]> {
  const isHere = record.state === 'uploading';
  return Promise.all(
    record.files.map(async (file) => ({
      ...file,
      receivedBytes: isHere ? await uploads.receivedBytes(record.importId, file.number) : file.sizeBytes,
    })),
  );
}

/** Takes a part; with the last byte of the last file the reading begins. */
export async function takePart(
  context: Context,
  record: ImportRecord,
  { number, offset, part }: { number: number; offset: number; part: Readable },
): Promise<number> {
  const file = record.files.find((each) => each.number === number)!;
  const { importId } = record;
  if (record.state !== 'uploading') throw notNow(record, 'takes no more bytes');
  const taken = await context.uploads.append({ importId, number, sizeBytes: file.sizeBytes }, offset, part);
  if ('refusal' in taken) throw refusePart(taken);
  const files = await filesOf(context, record);
  if (files.every(({ receivedBytes, sizeBytes }) => receivedBytes === sizeBytes)) {
    await startReading(context, record, ['uploading'], {
      said: 'All bytes are here; the file is being read',
    });
  }
  return taken.receivedBytes;
}

function refusePart(
  refused: Extract<Awaited<ReturnType<AppContext['uploads']['append']>>, { refusal: string }>,
): HttpProblem {
  switch (refused.refusal) {
    case 'busy':
      return new HttpProblem(409, 'Another part of this file is being sent right now.');
    case 'noSpace':
      return noSpace();
    case 'offset':
      return new HttpProblem(409, `The file goes on at byte ${refused.receivedBytes}.`, {
        headers: { 'upload-offset': String(refused.receivedBytes) },
      });
    case 'tooLong':
      return new HttpProblem(
        413,
        'The part is longer than what is missing of the file; nothing of it was kept.',
        {
          headers: { 'upload-offset': String(refused.receivedBytes) },
        },
      );
  }
}

/** Puts a reading in the queue, in place of one that runs. Throws a problem where the import is not at rest. */
export async function startReading(
  { database, queue }: Pick<AppContext, 'database' | 'queue'>,
  record: ImportRecord,
  from: readonly ImportState[],
  change: { said: string; answers?: ImportAnswers; target?: ImportTarget; interruptions?: number },
): Promise<void> {
  const runId = randomUUID();
  const { agencyId, importId } = record;
  await database.kysely.transaction().execute(async (db) => {
    const to = { interruptions: 0, ...change, state: 'reading' as const, runId };
    if (!(await moveImport(db, record, { from }, to))) return;
    await queue.sendImport(db, { agencyId, importId, runId, task: 'read' });
    await notifyImport(db, record, { state: 'reading', done: 0, total: 0 });
  });
}

const answerable: readonly ImportState[] = ['uploading', 'uploaded', 'reading', 'ready', 'failed'];

/** Adds answers to those given before, and reads the file again with them. */
export async function answerImport(
  context: Context,
  record: ImportRecord,
  given: ImportAnswers,
): Promise<void> {
  if (!answerable.includes(record.state)) throw notNow(record, 'takes no more answers');
  checkAnswers(given);
  const answers = mergeAnswers(record.answers, given);
  const target = { ...record.target, ...given.target };
  checkTarget(target);
  if (record.state === 'uploading') {
    const said = 'Answers noted; waiting for the rest of the file';
    const to = { state: 'uploading' as const, said, answers, target };
    await moveImport(context.database.kysely, record, { from: ['uploading'] }, to);
    return;
  }
  await startReading(context, record, answerable.slice(1), {
    said: 'The file is being read again with your answers',
    answers,
    target,
  });
}

const maps = ['questions', 'meanings', 'columnUnits', 'codes'] as const;

/** null takes a question's, a unit's or a code's answer back; for the meaning of a column it is an answer itself. */
function mergeAnswers(before: ImportAnswers, given: ImportAnswers): ImportAnswers {
  const merged: Record<string, Record<string, unknown>> = {};
  for (const map of maps) {
    const entries = Object.entries({ ...before[map], ...given[map] });
    merged[map] = Object.fromEntries(entries.filter(([, value]) => value !== null || map === 'meanings'));
  }
  return merged as ImportAnswers;
}

export async function readAgain(context: Context, record: ImportRecord): Promise<void> {
  const from: readonly ImportState[] = ['uploaded', 'ready', 'failed'];
  if (!from.includes(record.state)) throw notNow(record, 'cannot be read now');
  await startReading(context, record, from, { said: 'The file is being read' });
}

/** Puts the storing in the queue. Throws a problem that names the open questions. */
export async function commitImport(context: Context, key: ImportKey): Promise<void> {
  const { database, queue } = context;
  await database.kysely.transaction().execute(async (db) => {
    const record = await findImport(db, key, { lock: true });
    if (!record) throw new Error('The import is gone');
    if (record.state !== 'ready' || !record.preview) throw notNow(record, 'cannot be stored now');
    const { questions, storable, storableWhy } = record.preview;
    const open = questions.filter(({ isOpen }) => isOpen);
    if (open.length > 0) {
      throw new HttpProblem(
        409,
        `${counted(open.length, 'question is', 'questions are')} open; nothing is stored before ${open.length === 1 ? 'it is' : 'they are'} answered.`,
        {
          errors: open.map(({ id, text }) => ({ path: `/questions/${id}`, message: text })),
        },
      );
    }
    if (!storable) throw new HttpProblem(409, storableWhy ?? 'This cannot be stored.');
    const runId = randomUUID();
    const to = { state: 'storing' as const, said: 'Storing', runId, interruptions: 0 };
    await moveImport(db, key, { from: ['ready'] }, to);
    await queue.sendImport(db, { ...key, runId, task: 'store' });
    await notifyImport(db, record, { state: 'storing', done: 0, total: 0 });
  });
}

/** Stops a reading or a storing; what was stored before is as it was. */
export async function cancelImport({ database }: Context, record: ImportRecord): Promise<void> {
  const db = database.kysely;
  const stop = (from: ImportState, state: ImportState, said: string) =>
    moveImport(db, record, { from: [from] }, { state, said, runId: null });
  const isStopped =
    (await stop('reading', 'uploaded', 'The reading was cancelled; nothing was stored')) ||
    (await stop('storing', 'ready', 'The storing was cancelled; nothing was stored'));
  if (!isStopped) throw notNow((await findImport(db, record)) ?? record, 'has nothing to cancel');
  const now = await findImport(db, record);
  if (now) await notifyImport(db, record, { state: now.state, ...now.progress });
}

const discardable: readonly ImportState[] = ['uploading', 'uploaded', 'reading', 'ready', 'failed'];

/** Throws the bytes away. */
export async function discardImport(context: Context, record: ImportRecord): Promise<void> {
  const to = {
    state: 'discarded' as const,
    said: 'Discarded; nothing was stored',
    runId: null,
    keptUntil: null,
  };
  const db = context.database.kysely;
  if (!(await moveImport(db, record, { from: discardable }, to))) {
    throw notNow((await findImport(db, record)) ?? record, 'cannot be discarded');
  }
  await context.uploads.remove(record.importId);
  await notifyImport(db, record, { state: 'discarded', done: 0, total: 0 });
}

export function notNow({ state, said }: ImportRecord, what: string): HttpProblem {
  return new HttpProblem(409, `This import ${what}: it is ${state} (${said}).`);
}
