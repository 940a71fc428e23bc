import type { OpenedFile, RawShot } from '#core/intake/types.ts';
import type { Question, Understanding } from '#core/intake/understanding.ts';
import type { Problem } from '#core/problem.ts';
import { findNoElevations } from '#core/survey/checks/noElevation.ts';
import type { CheckShot } from '#core/survey/checks/types.ts';
import { metresPer } from '#core/units/length.ts';
import type {
  ImportAnswers,
  ImportCode,
  ImportCounts,
  ImportPreview,
  ShotUse,
} from '#shared/staged-import.ts';
import { FileRims, holdAgainstProject } from './againstProject.ts';
import type { Given } from './answers.ts';
import { type CodeMap, Codes } from './codes.ts';
import { layPart } from './lay.ts';
import type { OpenedImport } from './open.ts';
import { makePositioner, type PositionReading } from './position.ts';
import {
  likelyStage,
  lineQuestions,
  partQuestion,
  surfaceQuestions,
  whereQuestion,
  withAnswers,
} from './questions.ts';
import { readingsOf, Spread } from './readings.ts';
import type { RefusedRows } from './refused.ts';
import { linesOf } from './shapes.ts';
import { showSurface, surfaceOf } from './surface.ts';
import type { Work } from './work.ts';

export interface Counting {
  opened: OpenedImport;
  understood: Understanding;
  given: Given;
  answers: ImportAnswers;
  reading: PositionReading;
  codeMap: CodeMap;
  refused: RefusedRows;
  /** Something says where the project lies. */
  isPlaced: boolean;
  /** Day of all shots, where the file says it. */
  epoch: string | null;
}

/** Counts what storing the part would do, and puts everything that is known of it together. */
export async function countPart(
  work: Work,
  counting: Counting,
): Promise<{ preview: Omit<ImportPreview, 'remembered'>; usedCodes: [string, ShotUse][] }> {
  const { opened, understood, given, answers, reading, codeMap, refused } = counting;
  const { file } = opened;
  const { context, record } = work;
  const spread = new Spread();
  const codes = new Codes(answers.codes ?? {}, codeMap);
  const vertical = metresOf(understood, work);
  const setAside = await findSetAside(file, understood, { metresPerUnit: reading.metresPerUnit, vertical });
  await context.uploads.writeSetAside(record.importId, setAside);
  const about = { ...understood, epoch: counting.epoch };
  const surface = await surfaceOf(work, about, { answers, likelyStage: likelyStage(understood) });
  const questions = [
    ...partQuestion(opened.parts, understood),
    ...understood.questions,
    ...(understood.kind === 'lines' ? lineQuestions(await linesOf(file)) : []),
    ...surfaceQuestions(understood, record.target, surface),
    ...(counting.isPlaced ? [] : whereQuestion(understood)),
  ];
  const rims = new FileRims();
  const laid = await layPart(
    work,
    {
      kind: understood.kind,
      file,
      said: given.said,
      positioner: makePositioner(reading, work.crs),
      elevationMetresPerUnit: vertical,
      codes,
      setAside,
      surface,
      lineKinds: kindsSaid(questions, answers),
    },
    {
      refuse: (problem) => refused.add(1, problem),
      place: (x, y) => spread.add(x, y),
      rim: (rim) => rims.add(rim),
      afterBatch: () => refused.drain(),
    },
  );
  const against = await holdAgainstProject(work, understood, rims);
  const asked = withAnswers([...questions, ...against.questions], answers);
  const listed = codes.list();
  return {
    preview: {
      ...describe(understood, {
        questions: asked,
        counts: countsOf(laid.counts, refused, laid.wholeRefusals),
      }),
      surface: showSurface(surface, understood.kind),
      storable: laid.whyNot === null,
      storableWhy: laid.whyNot,
      codes: understood.kind === 'shots' ? listed : [],
      ...problemsOf([...understood.problems, ...against.problems], refused),
      readings: readingsOf(asked, { spread, reading, project: work.crs }),
      warnings: [...warningsOf(understood, listed, { reading, work }), ...(laid.warnings ?? [])],
    },
    usedCodes: listed.filter(({ from }) => from === 'remembered').map(({ code, role }) => [code, role]),
  };
}

/** Metres in one unit of the elevations; the project's unit stands in while the question is open. */
function metresOf({ units }: Understanding, { project }: Work): number {
  const { unit } = units.vertical;
  return metresPer[unit === null || unit === 'degree' ? project.elevationUnit : unit];
}

/** What the lines of each role stand for, as answered or else as is likeliest. */
function kindsSaid(questions: readonly Question[], answers: ImportAnswers): Map<string, string | null> {
  return new Map(
    questions
      .filter(({ code }) => code === 'lineKind')
      .map(({ about, likely }) => [about ?? '', answers.questions?.[`lineKind:${about}`] ?? likely]),
  );
}

/** Checks that set shots aside; the understanding of the file says in words what it found of them. */
const settingAside: ReadonlySet<string> = new Set(['sentinel', 'falseZero', 'allZero']);
const mostChecked = 500_000;

async function findSetAside(
  file: OpenedFile,
  { kind, problems }: Understanding,
  { metresPerUnit, vertical }: { metresPerUnit: number; vertical: number },
): Promise<Set<number>> {
  if (kind !== 'shots' || !problems.some(({ code }) => settingAside.has(code))) return new Set();
  const shots: CheckShot[] = [];
  const set = file.points.find(({ count }) => count !== 0) ?? file.points[0];
  for await (const batch of set.shots()) {
    for (const shot of batch as RawShot[]) {
      const { row, point, easting, northing, elevation, code } = shot;
      if (shots.length < mostChecked)
        shots.push({ row, point, east: easting, north: northing, elevation, code });
    }
    if (shots.length >= mostChecked) break;
  }
  const units = { metresPerUnit, elevationMetresPerUnit: vertical };
  const found = findNoElevations(shots, units).filter(({ code }) => settingAside.has(code));
  return new Set(found.filter((finding) => finding.setAside).flatMap(({ rows }) => rows));
}

function countsOf(
  { new: isNew, changed, same }: { new: number; changed: number; same: number },
  { count }: RefusedRows,
  wholeRefusals: number,
): ImportCounts {
  const refused = count + wholeRefusals;
  return { read: isNew + changed + same + refused, new: isNew, changed, same, refused };
}

function describe(
  understood: Understanding,
  { questions, counts }: Pick<ImportPreview, 'questions' | 'counts'>,
) {
  const { format, kind, name, bounds, crs, units, columns, sample, parts } = understood;
  return {
    format,
    kind,
    name,
    counts,
    bounds,
    crs: crs && { code: crs.code, name: crs.name, from: crs.from, text: crs.text?.slice(0, 1000) ?? null },
    units,
    columns,
    sample: sample as Record<string, unknown>[],
    parts,
    questions,
  };
}

const mostShown = 200;

function problemsOf(
  problems: readonly Problem[],
  refused: RefusedRows,
): Pick<ImportPreview, 'problems' | 'problemCount'> {
  const key = ({ code, row, column }: ImportPreview['problems'][number]) => `${code} ${row} ${column}`;
  const seen = new Set(problems.map(key));
  const more = refused.first.filter((problem) => !seen.has(key(problem)));
  const all = [...problems, ...more].map(({ row, column, value, code, message }) => ({
    row,
    column,
    value: value?.slice(0, 200) ?? null,
    code,
    message,
  }));
  all.sort((a, b) => (a.row ?? 0) - (b.row ?? 0));
  const general = problems.filter(({ row }) => row === null).length;
  return { problems: all.slice(0, mostShown), problemCount: Math.max(all.length, refused.count + general) };
}

function warningsOf(
  { crs, kind }: Understanding,
  codes: readonly ImportCode[],
  { reading, work }: { reading: PositionReading; work: Work },
): string[] {
  const warnings: string[] = [];
  if (reading.crs !== null && crs !== null && reading.crs.code !== work.crs.code) {
    const [from, to] = [reading.crs, work.crs].map(({ code, name }) => `EPSG:${code} (${name})`);
    warnings.push(`Positions are converted from ${from} to ${to}, the project's system.`);
  }
  const unknown = kind === 'shots' ? codes.filter(({ from }) => from === 'unknown') : [];
  if (unknown.length > 0) {
    const named = unknown
      .slice(0, 10)
      .map(({ code, count }) => `${code} (${count})`)
      .join(', ');
    warnings.push(`Codes that nobody knows are taken for shots on the surface: ${named}.`);
  }
  return warnings;
}
