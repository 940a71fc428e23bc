import { readFileSync } from 'node:fs';
import { pathToFileURL } from 'node:url';
import { parseArgs } from 'node:util';
import { insideArea, makeProjection } from '#core/crs/crs.ts';
import { noTreatment, planCover, prepareSurvey } from '#core/plan/plan.ts';
import { defaultPolicy, type Policy } from '#core/plan/policy.ts';
import type { Cover } from '#core/plan/types.ts';
import { type Problem, sayProblem } from '#core/problem.ts';
import { toCover } from '#core/register/cover.ts';
import { readRegisterCsv } from '#core/register/csv.ts';
import { readRingCatalogue } from '#core/register/rings.ts';
import { makeSolver } from '#core/stack/solve.ts';
import type { Objective, RingCatalogue } from '#core/stack/types.ts';
import { readPnezd } from '#core/survey/pnezd.ts';
import { parseLength } from '#core/units/length.ts';
import { findCrs } from '../crs/epsg.ts';
import { planFeature } from './planFeature.ts';

const usage = `usage: npm run -s plan -- --structures FILE --rings FILE --crs EPSG:n (--shots FILE | --design FILE.xml)
       [--tolerance 0.25in] [--objective fewest|closest|cheapest] [--shot-sigma 2mm]`;

/** A fault that ends the command: its lines go to standard error and the exit is 2. */
class Refusal extends Error {
  readonly lines: string[];
  constructor(...lines: string[]) {
    super(lines.join('\n'));
    this.lines = lines;
  }
}

interface Outcome {
  collection: object;
  /** Lines for standard error. */
  said: string[];
  complete: boolean;
}

/** Read the files, plan every structure, and give a GeoJSON FeatureCollection. @throws Refusal */
export function runPlan(argv: string[]): Outcome {
  const { values } = readArguments(argv);
  const crs = found(findCrs(required(values.crs, '--crs')));
  const catalogue = readCatalogue(required(values.rings, '--rings'));
  const objective = chooseObjective(values.objective, catalogue);
  const policy: Policy = {
    ...defaultPolicy,
    objective,
    tolerance: length(values.tolerance ?? (catalogue.unit === 'in' ? '0.25in' : '6mm'), '--tolerance'),
    shotSigma: values['shot-sigma'] === undefined ? null : sigma(values['shot-sigma']),
  };
  if (policy.tolerance <= 0) throw new Refusal(`--tolerance "${values.tolerance}": must be more than 0`);
  const units = { metresPerUnit: crs.metresPerUnit, elevationMetresPerUnit: crs.metresPerUnit };
  const said: string[] = [];
  const projection = makeProjection(crs);
  const register = readRegisterCsv(readText(required(values.structures, '--structures')), {
    ...units,
    projection,
  });
  said.push(...register.problems.map(sayProblem), ...register.warnings.map((w) => `note: ${sayProblem(w)}`));
  const covers: Cover[] = [];
  let bad = register.problems.length;
  for (const row of register.rows) {
    const cover = toCover(row);
    const problem = 'code' in cover ? cover : lacksBearing(cover, row.row, catalogue);
    if (problem) {
      bad++;
      said.push(sayProblem(problem));
    } else covers.push(cover as Cover);
  }
  if (values.design !== undefined)
    throw new Refusal('--design: design surfaces are not read yet; give --shots');
  const file = required(values.shots, '--shots');
  const read = readPnezd(readText(file), units);
  bad += read.problems.length;
  said.push(
    ...read.problems.map((p) => `shots: ${sayProblem(p)}`),
    ...read.warnings.map((p) => `note: shots: ${sayProblem(p)}`),
  );
  const unknown = read.codes
    .filter((c) => !c.known)
    .map((c) => `${c.code === '' ? '(blank)' : c.code} x ${c.count}`);
  if (unknown.length > 0)
    said.push(`note: codes taken as shots on the finished surface: ${unknown.join(', ')}`);
  const outside = covers.filter((c) => !insideArea(crs, ...projection.toLonLat(c.east, c.north)));
  if (outside.length > 0)
    said.push(
      `note: ${outside.length} structures lie outside the area of use of EPSG:${crs.code} (${crs.name}): ${outside
        .slice(0, 5)
        .map((c) => c.id)
        .join(', ')}${outside.length > 5 ? ', …' : ''}`,
    );
  const context = {
    survey: prepareSurvey(read.shots, covers, { policy, name: file.split(/[\\/]/).at(-1) as string }),
    solver: makeSolver(catalogue),
    policy,
    treatment: noTreatment,
  };
  const edge = { catalogue, projection, metresPerUnit: crs.metresPerUnit };
  const features = covers.map((cover) => planFeature(cover, planCover(cover, context), edge));
  return { collection: { type: 'FeatureCollection', features }, said, complete: bad === 0 };
}

function readArguments(argv: string[]) {
  try {
    const text = { type: 'string' } as const;
    return parseArgs({
      args: argv,
      options: {
        structures: text,
        rings: text,
        crs: text,
        shots: text,
        design: text,
        tolerance: text,
        objective: text,
        'shot-sigma': text,
      },
    });
  } catch (error) {
    throw new Refusal((error as Error).message.split('. ')[0], usage);
  }
}

function required(value: string | undefined, name: string): string {
  if (value === undefined) throw new Refusal(`${name} is missing`, usage);
  return value;
}

function readText(path: string): string {
  try {
    return readFileSync(path, 'utf8');
  } catch (error) {
    throw new Refusal(
      `${path}: ${(error as NodeJS.ErrnoException).code === 'ENOENT' ? 'no such file' : (error as Error).message}`,
    );
  }
}

function found<T extends object>(answer: T | Problem): T {
  if ('message' in answer && 'column' in answer) throw new Refusal(sayProblem(answer as Problem));
  return answer as T;
}

function length(text: string, option: string): number {
  const metres = parseLength(text, option);
  if (typeof metres !== 'number') throw new Refusal(sayProblem(metres));
  return metres;
}

/** A sigma of nothing needs no unit. */
function sigma(text: string): number {
  const metres = Number(text) === 0 ? 0 : length(text, '--shot-sigma');
  if (metres < 0) throw new Refusal(`--shot-sigma "${text}": must not be negative`);
  return metres;
}

function readCatalogue(path: string): RingCatalogue {
  const text = readText(path);
  let json: unknown;
  try {
    json = JSON.parse(text);
  } catch (error) {
    throw new Refusal(`${path}: not JSON: ${(error as Error).message}`);
  }
  const catalogue = readRingCatalogue(json);
  if (Array.isArray(catalogue)) throw new Refusal(...catalogue.map((p) => `${path}: ${sayProblem(p)}`));
  return catalogue;
}

function chooseObjective(text = 'fewest', { rings }: RingCatalogue): Objective {
  if (text !== 'fewest' && text !== 'closest' && text !== 'cheapest')
    throw new Refusal(`--objective "${text}": must be fewest, closest or cheapest`);
  const free = rings.filter((r) => r.cost === null).map((r) => r.id);
  if (text === 'cheapest' && free.length > 0)
    throw new Refusal(`--objective cheapest: every ring needs a cost; without one: ${free.join(', ')}`);
  return text;
}

function lacksBearing(cover: Cover, row: number, catalogue: RingCatalogue): Problem | null {
  const counts = catalogue.indexFrom === 'road' && catalogue.indexPositions > 0;
  if (cover.roadBearing !== null || !counts || !catalogue.rings.some((r) => r.thick > r.thin)) return null;
  return {
    code: 'missing',
    row,
    column: 'road_bearing_deg',
    value: null,
    message: `${cover.id} cannot be planned without it: this catalogue counts its marks from up-station`,
  };
}

/** Run from the command line; exit 0 when all was planned, 2 when something was not. */
export function main(argv: string[]): number {
  try {
    const { collection, said, complete } = runPlan(argv);
    for (const line of said) process.stderr.write(`${line}\n`);
    process.stdout.write(`${JSON.stringify(collection)}\n`);
    return complete ? 0 : 2;
  } catch (error) {
    if (!(error instanceof Refusal)) throw error;
    for (const line of error.lines) process.stderr.write(`${line}\n`);
    return 2;
  }
}

if (process.argv[1] && import.meta.url === pathToFileURL(process.argv[1]).href) {
  process.exitCode = main(process.argv.slice(2));
}
