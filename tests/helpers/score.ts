import { makeProjection } from '#core/crs/crs.ts';
import { noTreatment, planCover, prepareSurvey } from '#core/plan/plan.ts';
import { defaultPolicy, type Policy } from '#core/plan/policy.ts';
import type { Cover, CoverPlan } from '#core/plan/types.ts';
import { toCover } from '#core/register/cover.ts';
import { readRegisterCsv } from '#core/register/csv.ts';
import { readRingCatalogue } from '#core/register/rings.ts';
import type { StackTarget } from '#core/stack/rigid.ts';
import { makeSolver } from '#core/stack/solve.ts';
import type { RingCatalogue } from '#core/stack/types.ts';
import type { Gradient } from '#core/surface/types.ts';
import { readPnezd } from '#core/survey/pnezd.ts';
import { findCrs } from '../../server/crs/epsg.ts';
import type { Corridor, CorridorTruth } from './corridor.ts';
import { everyStack } from './exhaustive.ts';
import { sampleRim } from './pose.ts';

/** How plans of a corridor stand against its true surface. */
export interface Score {
  covers: number;
  /** Some legal stack comes within the tolerance of the true surface. */
  reachable: number;
  /** The planned stack does, and the cover was not flagged. */
  served: number;
  /** Out of tolerance, not flagged, not marked as missing the allowance. */
  silentlyWrong: number;
  flagged: number;
  remeasure: number;
  /** A stack was planned that is not of no rings. */
  cut: number;
  /** Beaten by trying every stack on the plan's own finished grade. */
  worse: number;
  /** The stated residual is not that of the stack. */
  claimWrong: number;
  illegal: number;
  unsurveyed: number;
}

const nothing: Score = {
  covers: 0,
  reachable: 0,
  served: 0,
  silentlyWrong: 0,
  flagged: 0,
  remeasure: 0,
  cut: 0,
  worse: 0,
  claimWrong: 0,
  illegal: 0,
  unsurveyed: 0,
};

export function pool(scores: readonly Score[]): Score {
  const total = { ...nothing };
  for (const score of scores)
    for (const key of Object.keys(total) as (keyof Score)[]) total[key] += score[key];
  return total;
}

interface World {
  covers: Cover[];
  catalogue: RingCatalogue;
  plans: CoverPlan[];
  tolerance: number;
  perUnit: number;
}

/** Read a corridor's files as the command does, and plan every cover. @throws Error when a file is refused */
export function planCorridor(corridor: Corridor, change: Partial<Policy>): World {
  const crs = findCrs(corridor.crs);
  if ('message' in crs) throw new Error(crs.message);
  const units = { metresPerUnit: crs.metresPerUnit, elevationMetresPerUnit: crs.metresPerUnit };
  const catalogue = readRingCatalogue(JSON.parse(corridor.ringsJson));
  if (Array.isArray(catalogue)) throw new Error(catalogue[0].message);
  const register = readRegisterCsv(corridor.structuresCsv, { ...units, projection: makeProjection(crs) });
  const covers = register.rows.map((row) => {
    const cover = toCover(row);
    if ('code' in cover) throw new Error(cover.message);
    return cover;
  });
  const { shots, problems } = readPnezd(corridor.shotsCsv, units);
  if (register.problems.length + problems.length > 0) throw new Error('the corridor has bad rows');
  const tolerance = catalogue.unit === 'in' ? 0.00635 : 0.006;
  const policy = { ...defaultPolicy, tolerance, ...change };
  const context = {
    survey: prepareSurvey(shots, covers, { policy, name: 'shots' }),
    solver: makeSolver(catalogue),
    policy,
    treatment: noTreatment,
  };
  const plans = covers.map((cover) => planCover(cover, context));
  return { covers, catalogue, plans, tolerance, perUnit: crs.metresPerUnit };
}

/** Plan a corridor and hold each cover's plan against what is true. */
export function scoreCorridor(corridor: Corridor, change: Partial<Policy> = {}): Score {
  const world = planCorridor(corridor, change);
  const score = { ...nothing };
  corridor.truth.covers.forEach((truth, i) => {
    scoreCover(score, {
      world,
      truth,
      cover: world.covers[i],
      plan: world.plans[i],
      objective: change.objective,
    });
  });
  return score;
}

interface Judged {
  world: World;
  truth: CorridorTruth;
  cover: Cover;
  plan: CoverPlan;
  objective: Policy['objective'] | undefined;
}

function scoreCover(score: Score, { world, truth, cover, plan, objective }: Judged): void {
  const { catalogue, tolerance, perUnit } = world;
  const at = (elevation: number, gradient: Gradient): StackTarget => ({
    rise: elevation - cover.seatElevation!,
    gradient,
    seatGradient: [0, 0],
    frameHeight: cover.frameHeight,
    rimRadius: cover.rimRadius,
    markBearing: catalogue.indexFrom === 'road' ? truth.bearing : 0,
    tolerance,
    allowance: 0,
  });
  const real = at(truth.finished * perUnit, truth.gradient);
  const reachable = !everyStack(catalogue, real, tolerance).next().done;
  const flagged = ['review', 'remeasure', 'rebuild', 'unsurveyed'].includes(plan.status);
  score.covers++;
  if (reachable) score.reachable++;
  if (flagged) score.flagged++;
  if (plan.status === 'remeasure') score.remeasure++;
  if (plan.stack.length > 0) score.cut++;
  if (plan.status === 'unsurveyed') score.unsurveyed++;
  if (!plan.residual) return;
  const rings = plan.stack.map(({ ring, azimuth }) => ({
    ...catalogue.rings.find((r) => r.id === ring)!,
    azimuth: azimuth ?? 0,
  }));
  if (breaks(catalogue, plan, real.markBearing)) score.illegal++;
  const worst = (target: StackTarget) => Math.max(...sampleRim(target, rings, catalogue).map(Math.abs));
  const off = worst(real);
  if (!flagged && off <= tolerance * 1.0001) score.served++;
  if (!flagged && plan.allowance !== 'notMet' && off > tolerance * 1.05) score.silentlyWrong++;
  const own = at(plan.finished!.elevation, plan.finished!.gradient);
  const stated = worst(own);
  if (Math.abs(stated - plan.residual.worst) > 1e-5) score.claimWrong++;
  if (
    !flagged &&
    isBeaten(catalogue, own, { objective: objective ?? 'fewest', count: rings.length, worst: stated })
  )
    score.worse++;
}

/** A micrometre better is better. */
function isBeaten(
  catalogue: RingCatalogue,
  own: StackTarget,
  { objective, count, worst }: { objective: Policy['objective']; count: number; worst: number },
): boolean {
  const cap = objective === 'closest' ? worst : Math.max(worst, own.tolerance);
  for (const other of everyStack(catalogue, own, cap)) {
    if (
      objective === 'closest'
        ? other.worst < worst - 1e-6
        : other.worst <= own.tolerance && other.count < count
    )
      return true;
    if (objective === 'fewest' && other.count === count && other.worst < worst - 1e-6) return true;
  }
  return false;
}

function breaks(catalogue: RingCatalogue, { stack }: CoverPlan, markBearing: number): boolean {
  const rings = stack.map((s) => catalogue.rings.find((r) => r.id === s.ring));
  if (rings.includes(undefined) || stack.length > catalogue.maxRings) return true;
  if (stack.filter((s) => s.azimuth !== null).length > 2) return true;
  const { base, between, top } = catalogue.joint;
  const joints = stack.length === 0 ? base : base + top + (stack.length - 1) * between;
  const height = rings.reduce((h, r) => h + (r!.thin + r!.thick) / 2, joints);
  if (height > catalogue.maxChimney + 1e-9) return true;
  return catalogue.rings.some(({ id, maxPerStack, thin, thick }) => {
    const own = stack.filter((s) => s.ring === id);
    if (own.length > maxPerStack || own.some((s) => (s.azimuth === null) !== (thin === thick))) return true;
    return (
      catalogue.indexPositions > 0 &&
      own.some((s) => {
        const marks = (((s.azimuth ?? markBearing) - markBearing) * catalogue.indexPositions) / (2 * Math.PI);
        return Math.abs(marks - Math.round(marks)) > 1e-3;
      })
    );
  });
}
