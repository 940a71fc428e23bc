import type { Understanding } from '#core/intake/understanding.ts';
import { sayProblem } from '#core/problem.ts';
import { counted } from '#core/units/count.ts';
import { metresPer } from '#core/units/length.ts';
import type { ImportAnswers, ImportPreview, ShotUse } from '#shared/staged-import.ts';
import { Workplace } from '../intake/workplace.ts';
import type { Counts } from '../store/imports/batches.ts';
import { notifyProject } from '../store/notices.ts';
import { touchProjectInputs } from '../store/plan/changes.ts';
import { finishStoring } from '../store/staging/batches.ts';
import { inTransaction } from '../store/transaction.ts';
import { givenBy } from './answers.ts';
import { Codes } from './codes.ts';
import { layPart, type PartToLay } from './lay.ts';
import { fingerprintOf, keepAnswers, withRemembered } from './memory.ts';
import { openImport } from './open.ts';
import { makePositioner, readingOf } from './position.ts';
import { likelyStage } from './questions.ts';
import { keepUntil } from './requests.ts';
import { surfaceOf } from './surface.ts';
import { ImportRefused, ImportStopped, type Work } from './work.ts';

/** Stores what the preview showed, in one transaction: all of it or nothing. @throws ImportRefused */
export async function storeImport(work: Work): Promise<void> {
  const { context, record, runId, crs, progress } = work;
  const { preview } = record;
  if (!preview) throw new Error('An import is stored after it was read');
  const passes = preview.kind === 'shots' ? 2 : 1;
  progress.total = passes * record.files.reduce((sum, { sizeBytes }) => sum + sizeBytes, 0);
  const answers = withRemembered(record.answers, record.remembered);
  const workplace = await Workplace.make();
  try {
    const given = givenBy(answers, { project: { crs }, projectArea: null });
    const watch = progress.watch.bind(progress);
    const opened = await openImport({ uploads: context.uploads, record, given, workplace, watch });
    if ('code' in opened) throw new ImportRefused(sayProblem(opened));
    const part = await partOf(work, { preview, answers, given, file: opened.file });
    let refused = 0;
    await inTransaction(context.database, async (transaction) => {
      const { db } = transaction;
      const watching = { refuse: () => refused++ };
      const { counts, surfaceIds, whyNot } = await layPart(work, part, watching, transaction);
      if (whyNot !== null) throw new ImportRefused(whyNot);
      const end = { said: sayStored(counts, preview), counts, surfaceIds, keptUntil: keepUntil(context) };
      const fingerprint = fingerprintOf(opened.headings);
      await keepAnswers(db, record.agencyId, { fingerprint, fileName: record.fileName, answers });
      if (counts.new + counts.changed > 0) await touchProjectInputs(db, record);
      if (!(await finishStoring(db, record, runId, end)))
        throw new ImportStopped('The storing was cancelled');
      await notifyProject(db, record.agencyId, record.projectId);
    });
  } finally {
    await workplace.remove();
  }
}

interface Known {
  preview: ImportPreview;
  answers: ImportAnswers;
  given: ReturnType<typeof givenBy>;
  file: PartToLay['file'];
}

/** All questions are answered by now, so the preview says how the file is to be read. */
async function partOf(work: Work, { preview, answers, given, file }: Known): Promise<PartToLay> {
  const reading = readingOf(preview, given.said.axes, work.crs);
  const { unit } = preview.units.vertical;
  const vertical = unit === null ? work.project.elevationUnit : (unit as keyof typeof metresPer);
  const known = Object.entries(work.record.remembered?.codes ?? {}) as [string, ShotUse][];
  const lineKinds = preview.questions
    .filter(({ code }) => code === 'lineKind')
    .map(({ about, answer }) => [about ?? '', answer] as const);
  return {
    kind: preview.kind,
    file: onlyPart(file, preview),
    said: given.said,
    positioner: makePositioner(reading, work.crs),
    elevationMetresPerUnit: metresPer[vertical],
    codes: new Codes(answers.codes ?? {}, new Map(known)),
    setAside: await work.context.uploads.readSetAside(work.record.importId),
    surface: await surfaceToStore(work, preview, answers),
    lineKinds: new Map(lineKinds),
  };
}

/** As the preview showed it, unless the project has one of that name by now. */
async function surfaceToStore(
  work: Work,
  { kind, name, units, surface }: ImportPreview,
  answers: ImportAnswers,
): Promise<PartToLay['surface']> {
  const about = { name, units: units as Understanding['units'], epoch: surface?.epoch ?? null };
  return surfaceOf(work, about, { answers, likelyStage: surface?.stage ?? likelyStage({ kind }) });
}

/** The part that was shown, of the parts of its kind. */
function onlyPart(file: PartToLay['file'], { kind, name }: ImportPreview): PartToLay['file'] {
  if (kind === 'shots') return { ...file, points: file.points.filter((set) => set.name === name) };
  if (kind === 'structures') return { ...file, layers: file.layers.filter((layer) => layer.name === name) };
  if (kind === 'grid') return { ...file, grids: file.grids.filter((grid) => grid.name === name) };
  return file;
}

const words: Readonly<Record<ImportPreview['kind'], string>> = {
  shots: 'shots',
  structures: 'structures',
  design: 'faces',
  lines: 'lines',
  grid: 'faces',
};

const one: Record<ImportPreview['kind'], string> = {
  shots: 'shot',
  structures: 'structure',
  design: 'face',
  lines: 'line',
  grid: 'face',
};

function sayStored({ new: isNew, changed, same }: Counts, { kind, counts }: ImportPreview): string {
  const word = words[kind];
  const left = counts.refused > 0 ? `; ${counted(counts.refused, 'row was', 'rows were')} left out` : '';
  if (isNew + changed === 0)
    return `Nothing to store: ${same === 1 ? `the 1 ${one[kind]} is` : `all ${same} ${word} are`} there already${left}`;
  return `Stored ${isNew} new and ${changed} changed ${word}; ${same} were there already${left}`;
}
