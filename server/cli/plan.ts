import { pathToFileURL } from 'node:url';
import { makeProjection } from '#core/crs/crs.ts';
import { noTreatment, type PlanContext, planCover, prepareSurvey } from '#core/plan/plan.ts';
import { defaultPolicy, type Policy } from '#core/plan/policy.ts';
import { sayProblem } from '#core/problem.ts';
import { makeSolver, type Solver } from '#core/stack/solve.ts';
import type { RingCatalogue } from '#core/stack/types.ts';
import { finishedFromDesign } from '#core/surface/design.ts';
import { metresPer } from '#core/units/length.ts';
import { findCrs } from '../crs/epsg.ts';
import { type PlanArguments, readPlanArguments } from './planArguments.ts';
import { planFeature } from './planFeature.ts';
import { loadCatalogue, loadCovers, loadDesign, loadShots, Report, surfaceName } from './planInputs.ts';
import { shotsApart } from './planPlaces.ts';
import { Refusal } from './refusal.ts';

interface Outcome {
  /** A GeoJSON FeatureCollection. */
  collection: { type: 'FeatureCollection'; features: ReturnType<typeof planFeature>[] };
  /** Lines for standard error. */
  said: string[];
  /** false: at least one row was left out. */
  complete: boolean;
}

/** Read the files that the arguments name and plan every structure. @throws Refusal */
export async function runPlan(argv: string[]): Promise<Outcome> {
  const wanted = readPlanArguments(argv);
  const crs = findCrs(wanted.crs);
  if ('message' in crs) throw new Refusal(sayProblem(crs));
  const catalogue = loadCatalogue(wanted.rings);
  const free = catalogue.rings.filter((r) => r.cost === null).map((r) => r.id);
  if (wanted.objective === 'cheapest' && free.length > 0)
    throw new Refusal(`--objective cheapest: every ring needs a cost; without one: ${free.join(', ')}`);
  const report = new Report();
  if (crs.caution) report.note(`${crs.name}: ${crs.caution}`);
  const projection = makeProjection(crs);
  const covers = loadCovers(wanted.structures, { crs, projection, catalogue }, report);
  const policy: Policy = {
    ...defaultPolicy,
    objective: wanted.objective,
    tolerance: wanted.tolerance ?? (catalogue.unit === 'in' ? 0.25 * metresPer.in : 6 * metresPer.mm),
    shotSigma: wanted.shotSigma,
  };
  const surface = await loadSurface(wanted.surface, crs.metresPerUnit, report);
  const { shots, finishedAt } = surface;
  const apart = shotsApart(shots, covers, {
    crs,
    projection,
    files: { shots: surfaceName(wanted.surface.file), structures: surfaceName(wanted.structures) },
  });
  if (apart !== null) report.note(apart);
  const context: PlanContext = {
    survey: prepareSurvey(shots, covers, { policy, name: surfaceName(wanted.surface.file) }),
    ...(finishedAt && { finishedAt }),
    solver: solverFor(catalogue, wanted.rings),
    policy,
    treatment: noTreatment,
  };
  const edge = { catalogue, projection, metresPerUnit: crs.metresPerUnit };
  const features = covers.map((cover) => planFeature(cover, planCover(cover, context), edge));
  return {
    collection: { type: 'FeatureCollection', features },
    said: report.lines,
    complete: report.bad === 0,
  };
}

/** @throws Refusal for a catalogue of more stacks than can be searched. */
function solverFor(catalogue: RingCatalogue, path: string): Solver {
  try {
    return makeSolver(catalogue);
  } catch (error) {
    if (!(error instanceof RangeError)) throw error;
    throw new Refusal(`${path}: ${error.message}; lower maxRings, maxChimney or maxPerStack`);
  }
}

async function loadSurface({ kind, file }: PlanArguments['surface'], metresPerUnit: number, report: Report) {
  if (kind === 'shots') return { shots: loadShots(file, metresPerUnit, report), finishedAt: undefined };
  const design = await loadDesign(file, metresPerUnit, report);
  const finishedAt: PlanContext['finishedAt'] = (place) => finishedFromDesign(design, place);
  return { shots: [], finishedAt };
}

/** Run from the command line; exit 0 when all was planned, 2 when something was not. */
export async function main(argv: string[]): Promise<number> {
  try {
    const { collection, said, complete } = await runPlan(argv);
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
  process.exitCode = await main(process.argv.slice(2));
}
