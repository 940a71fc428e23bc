import type { Kysely } from 'kysely';
import { policyFrom } from '#core/acceptance/limits.ts';
import { type CoverState, stateOfCover } from '#core/field/coverState.ts';
import type { AnyKept, KeptRecord, MadeRecord } from '#core/field/facts.ts';
import { countedJoint, lacksRope } from '#core/seal/sealPlan.ts';
import { targetAsMeasured } from '#core/stack/asMeasured.ts';
import { type HoleSolver, inPlace, makeHoleSolver } from '#core/stack/atTheHole.ts';
import { holeTarget, isTarget } from '#core/stack/holeTarget.ts';
import type { PlacedRing } from '#core/stack/types.ts';
import { degrees, radians } from '#core/units/slope.ts';
import type { NewStack } from '#shared/new-stack.ts';
import type { PlacedRing as PlacedDeg } from '#shared/plan.ts';
import type { RingCatalogue } from '#shared/ring-catalogue.ts';
import { catalogueToPlan, toCatalogue } from '../catalogue.ts';
import type { ProjectCover } from '../store/covers.ts';
import { findRecordsOf } from '../store/field/records.ts';
import type { ProjectHead } from '../store/projects.ts';
import type { Tables } from '../store/tables.ts';

interface Given {
  ringCatalogue: RingCatalogue | null;
  /** Degrees; null where no road direction is known. */
  bearingOf: (cover: ProjectCover) => number | null;
}

/** For covers off grade the stack on the seat as it was measured, by id; none of telescoping tops, which take no rings. */
export async function findNewStacks(
  db: Kysely<Tables>,
  project: ProjectHead,
  covers: readonly ProjectCover[],
  given: Given,
): Promise<Map<string, NewStack>> {
  const off = covers.filter(
    ({ fieldStatus, structure }) => fieldStatus === 'offGrade' && structure.adjustment !== 'telescoping',
  );
  if (off.length === 0) return new Map();
  const key = { agencyId: project.agencyId, projectId: project.id };
  const ids = off.map(({ structureId }) => structureId);
  const records = Map.groupBy(await findRecordsOf(db, key, ids), ({ structureId }) => structureId);
  return new Map(
    off.flatMap((cover) => {
      const found = newStackOf(project, cover, records.get(cover.structureId) ?? [], given);
      return found ? [[cover.structureId, found] as const] : [];
    }),
  );
}

/** null where no check of the rim stands. */
export function newStackOf(
  project: ProjectHead,
  cover: ProjectCover,
  records: readonly AnyKept[],
  { ringCatalogue, bearingOf }: Given,
): NewStack | null {
  const limits = policyFrom(project.limits, cover.structure.kind);
  const state = stateOfCover(records, { sent: false, limits });
  const rim = state.checks.rimChecked;
  if (!rim) return null;
  const { id: record, facts } = rim;
  const without = (problem: string) => ({ record, rimErrorsM: facts.rimErrorsM, problem, answer: null });
  if (state.conflicts.length > 0) return without('Records contradict each other: settle them first.');
  const bearingDeg = bearingOf(cover);
  if (bearingDeg === null)
    return without('The direction of the road is not known: the clocks point nowhere.');
  const { outcome } = cover;
  if (!outcome?.finished || !ringCatalogue)
    return without('There is no plan with a finished grade and rings.');
  if (cover.structure.seatElevationM === null)
    return without('The seat was never measured: tape down to it, and solve again at the hole.');
  const usual = toCatalogue(ringCatalogue).joint;
  const catalogue = {
    ...catalogueToPlan(ringCatalogue, project.limits),
    maxRings: project.limits.maxRings.value ?? ringCatalogue.maxRings,
  };
  const built = builtOf(state, rim, cover);
  const stood = built.chosen?.facts.jointM ?? countedJoint(usual, outcome.thickRope);
  const rings = built.stack && inPlace(catalogue, built.stack);
  if (!built.stack || !rings) return without('The rings that stand are not known: record the rings used.');
  // What stood without a test's rope is not built anew without it.
  const joint = lacksRope(stood, catalogue.joint, rings.length) ? catalogue.joint : stood;
  const solver: HoleSolver | { message: string } = makeHoleSolver(catalogue, { joint });
  if ('message' in solver) return without(solver.message);
  const bearing = radians(bearingDeg);
  const planned = planTarget(project, cover, { catalogue, bearing });
  const seen = targetAsMeasured(planned, {
    errors: facts.rimErrorsM,
    ...{ bearing, rings, joint: stood, sigma: facts.sigmaM, isOnSurface: facts.method === 'string' },
  });
  const { best } = solver.solveFor(seen.target, {
    planned: built.stack,
    objective: project.limits.objective.value,
    bearing,
  });
  const { worst, centre, tilt } = best.residual;
  return {
    record,
    rimErrorsM: facts.rimErrorsM,
    problem: null,
    answer: {
      builtFrom: built.from,
      built: built.stack.map(toDegrees),
      expectedM: seen.expected,
      seatHigherM: seen.seatHigher,
      seatTiltUp: seen.seatTilt.up,
      seatTiltRight: seen.seatTilt.right,
      jointM: joint,
      stack: best.stack.map(toDegrees),
      residual: { worstM: worst, centreM: centre, tiltM: tilt },
      allowanceM: seen.target.allowance,
      withinTolerance: best.withinTolerance,
    },
  };
}

function planTarget(
  { limits }: ProjectHead,
  { structure, outcome }: ProjectCover,
  { catalogue, bearing }: { catalogue: ReturnType<typeof toCatalogue>; bearing: number },
) {
  const asked = outcome!.reasons.find(({ code }) => code === 'setDown')?.values?.by;
  const seen = holeTarget(
    {
      seatElevation: structure.seatElevationM,
      seatGradient: [structure.seatGradientEast, structure.seatGradientNorth],
      frameHeight: structure.frameHeightM,
      rimRadius: structure.rimDiameterM / 2,
      setDown: structure.setDownM !== 0 ? structure.setDownM : Number(asked ?? 0),
      roadBearing: bearing,
    },
    { from: 'plan', finished: outcome!.finished! },
    { tolerance: limits.toleranceM.value, misclosureLimit: 0 },
  );
  if (!isTarget(seen)) throw new Error('A plan with a finished grade over a known seat has a target');
  const allowance = outcome!.allowance === 'off' ? 0 : seen.target.allowance;
  return { ...seen.target, allowance, markBearing: catalogue.indexFrom === 'road' ? bearing : 0 };
}

type Chosen = MadeRecord<'stackChosen'> | KeptRecord<'stackChosen'>;

interface Built {
  from: 'ringsUsed' | 'stackChosen' | 'plan';
  stack: PlacedRing[] | null;
  /** Whose joints they were put together with. */
  chosen: Chosen | null;
}

/** What stood under the rim when it was checked: the rings recorded as used, else those chosen, else the plan's. */
function builtOf({ standing }: CoverState, rim: { id: string }, { outcome }: ProjectCover): Built {
  const before = standing.slice(
    0,
    standing.findIndex(({ id }) => id === rim.id),
  );
  const chosenAt = before.findLastIndex(({ kind }) => kind === 'stackChosen');
  const usedAt = before.findLastIndex(({ kind }) => kind === 'ringsUsed');
  const chosen = chosenAt < 0 ? null : (before[chosenAt] as Chosen);
  const used = usedAt < 0 ? null : (before[usedAt] as MadeRecord<'ringsUsed'>);
  if (used && usedAt > chosenAt) return { from: 'ringsUsed', stack: toRadians(used.facts.stack), chosen };
  if (chosen) return { from: 'stackChosen', stack: toRadians(chosen.facts.stack), chosen };
  const stack = outcome?.residual && outcome.status !== 'leave' ? outcome.stack : null;
  return { from: 'plan', stack, chosen: null };
}

const toRadians = (stack: readonly PlacedDeg[]): PlacedRing[] =>
  stack.map(({ ring, azimuthDeg }) => ({ ring, azimuth: azimuthDeg === null ? null : radians(azimuthDeg) }));
const toDegrees = ({ ring, azimuth }: PlacedRing): PlacedDeg => ({
  ring,
  azimuthDeg: azimuth === null ? null : degrees(azimuth),
});
