import { createHash } from 'node:crypto';
import { createReadStream } from 'node:fs';
import { readColumnHeading } from '#core/intake/delimited/headings.ts';
import { hearProblems } from '#core/intake/problemLog.ts';
import { understand } from '#core/intake/understand.ts';
import type { Said, Understanding } from '#core/intake/understanding.ts';
import { sayProblem } from '#core/problem.ts';
import type { ImportAnswers, ImportPreview } from '#shared/staged-import.ts';
import { crsLookup } from '../intake/lookup.ts';
import { Workplace } from '../intake/workplace.ts';
import { setFileHash } from '../store/staging/batches.ts';
import { findMemory, loadCodeMap, type Memory } from '../store/staging/memory.ts';
import { type Given, givenBy } from './answers.ts';
import { projectArea } from './area.ts';
import { countPart } from './count.ts';
import { fingerprintOf, withRemembered } from './memory.ts';
import { type OpenedImport, openImport, type Unmapped } from './open.ts';
import { readingOf } from './position.ts';
import { RefusedRows } from './refused.ts';
import { ImportRefused, type Work } from './work.ts';

/** What a reading gives. */
export interface ReadImport {
  preview: ImportPreview;
  /** What was said of a file like it, with the codes that the agency knew. */
  remembered: ImportAnswers;
}

/** Reads an uploaded file and says what storing it would do; nothing of it is stored. @throws ImportRefused */
export async function readImport(work: Work): Promise<ReadImport> {
  const { context, record } = work;
  // The hash, the understanding and the counting each read the file once.
  work.progress.total = 3 * record.files.reduce((sum, { sizeBytes }) => sum + sizeBytes, 0);
  await hashFiles(work);
  const workplace = await Workplace.make();
  const refused = new RefusedRows(context.uploads, record.importId);
  try {
    return await readIn(workplace, refused, work);
  } catch (error) {
    if (!(error instanceof ColumnsUnknown)) throw error;
    return { preview: columnsPreview(error, work), remembered: {} };
  } finally {
    await refused.drop();
    await workplace.remove();
  }
}

async function hashFiles({ context, record, progress }: Work): Promise<void> {
  for (const { number } of record.files) {
    const hash = createHash('sha256');
    for await (const chunk of createReadStream(context.uploads.pathOf(record.importId, number))) {
      hash.update(chunk as Buffer);
      await progress.add((chunk as Buffer).length);
    }
    await setFileHash(context.database.kysely, record, number, hash.digest('hex'));
  }
}

async function readIn(workplace: Workplace, refused: RefusedRows, work: Work): Promise<ReadImport> {
  const { context, record, progress } = work;
  const db = context.database.kysely;
  const area = await projectArea(work);
  const { opened, given, answers, memory } = await openWithMemory(workplace, work, area);
  const { file } = opened;
  for (const problem of [...file.problems]) refused.add(0, problem);
  hearProblems(file.problems, (problem) => refused.add(0, problem));
  const understood = await understand(file, given.said, crsLookup);
  if ('code' in understood) throw new ImportRefused(sayProblem(understood));
  if (understood.count === 0) throw new ImportRefused(nothingIn(understood));
  const epoch = understood.epoch ?? null;
  const codeMap = await loadCodeMap(db, record.agencyId);
  const reading = readingOf(understandingAsPreview(understood), given.said.axes, work.crs);
  const { preview, usedCodes } = await countPart(
    { ...work, progress },
    { opened, understood, given, answers, reading, codeMap, refused, isPlaced: area !== null, epoch },
  );
  await refused.finish(context.uploads, record.importId, opened);
  const remembered = { ...memory?.answers, codes: Object.fromEntries(usedCodes) };
  const shown = memory === null ? null : { fileName: memory.fileName, at: memory.at };
  return { preview: { ...preview, remembered: shown }, remembered };
}

function nothingIn({ problems }: Understanding): string {
  const said = problems.slice(0, 3).map(sayProblem).join('; ');
  return said || 'the file holds nothing that could be stored';
}

/** `crs.epsg` is null for longitude and latitude columns as well as for an unknown system. */
function understandingAsPreview({ crs, units, questions }: Understanding) {
  return {
    crs: crs && { code: crs.code, name: crs.name, from: crs.from, text: crs.text },
    units,
    questions,
  };
}

interface Opened {
  opened: OpenedImport;
  given: Given;
  answers: ImportAnswers;
  memory: Memory | null;
}

/** Opened once to see its headings, and again where something was said of such headings before. */
async function openWithMemory(
  workplace: Workplace,
  { context, record, crs, progress }: Work,
  area: Said['projectArea'] | null,
): Promise<Opened> {
  const open = async (answers: ImportAnswers) => {
    const given = givenBy(answers, { project: { crs }, projectArea: area ?? null });
    const watch = progress.watch.bind(progress);
    const opened = await openImport({ uploads: context.uploads, record, given, workplace, watch });
    return { opened, given };
  };
  const first = await open(record.answers);
  const fingerprint = 'headings' in first.opened ? fingerprintOf(first.opened.headings) : null;
  const memory =
    fingerprint === null ? null : await findMemory(context.database.kysely, record.agencyId, fingerprint);
  const answers = withRemembered(record.answers, memory?.answers ?? null);
  const { opened, given } = memory === null ? first : await open(answers);
  if ('file' in opened) return { opened, given, answers, memory };
  if ('headings' in opened) throw new ColumnsUnknown(opened, answers);
  throw new ImportRefused(sayProblem(opened));
}

/** Ends a reading whose file cannot be read before somebody says what its columns mean. */
class ColumnsUnknown extends Error {
  readonly unmapped: Unmapped;
  readonly answers: ImportAnswers;

  constructor(unmapped: Unmapped, answers: ImportAnswers) {
    super(unmapped.message);
    this.unmapped = unmapped;
    this.answers = answers;
  }
}

/** Headings alone, with the question what they mean. */
function columnsPreview({ unmapped, answers }: ColumnsUnknown, { record, project }: Work): ImportPreview {
  const { headings, code, row, column, value, message } = unmapped;
  const meanings = answers.meanings ?? {};
  const text = `The columns are not known: ${message}. What do they mean?`;
  const unknown = { unit: null, from: 'unknown' };
  return {
    format: 'delimited',
    kind: 'shots',
    storable: false,
    storableWhy: 'Say which columns hold the northing and the easting.',
    name: record.fileName,
    counts: { read: 0, new: 0, changed: 0, same: 0, refused: 0 },
    bounds: null,
    crs: { code: project.crs, name: project.crsName, from: 'unknown', text: null },
    units: { horizontal: unknown, vertical: unknown },
    columns: headings.map((name) => ({
      name,
      meaning: meanings[name] ?? readColumnHeading(name).meaning,
      unit: null,
      from: Object.hasOwn(meanings, name) ? 'given' : 'heading',
    })),
    codes: [],
    sample: [],
    parts: [],
    problems: [{ code, row, column, value, message }],
    problemCount: 1,
    questions: [
      {
        id: 'columns',
        code: 'columns',
        about: null,
        text,
        choices: [],
        likely: null,
        answer: null,
        isOpen: true,
      },
    ],
    readings: [],
    remembered: null,
    warnings: [],
  };
}
