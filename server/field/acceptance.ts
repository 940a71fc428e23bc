import { policyFrom } from '#core/acceptance/limits.ts';
import { fourClocks, judgeRim, type RimJudgement } from '#core/acceptance/rim.ts';
import { judgeRoute, levelChangeOf, type RouteJudgement } from '#core/acceptance/route.ts';
import { judgeStraightedge } from '#core/acceptance/straightedge.ts';
import type { AcceptancePolicy } from '#core/acceptance/types.ts';
import { type AcceptanceVerdict, judgeAcceptance } from '#core/acceptance/verdict.ts';
import { sayAcceptance } from '#core/acceptance/words.ts';
import { type CoverState, stateOfCover, stillCuring } from '#core/field/coverState.ts';
import type { AnyKept, Facts } from '#core/field/facts.ts';
import { sayWarning } from '#core/field/words.ts';
import { decidingReasons, judgeTest, type VacuumVerdict } from '#core/seal/judgeVacuum.ts';
import { sayVacuum } from '#core/seal/words.ts';
import { radians } from '#core/units/slope.ts';
import type { Acceptance } from '#shared/acceptance.ts';
import type { VacuumTable } from '#shared/vacuum-table.ts';
import { packLimits } from '../paper/pack/limits.ts';
import { momentText, paperUnits } from '../paper/units.ts';
import type { ProjectCover } from '../store/covers.ts';
import type { ProjectHead } from '../store/projects.ts';
import { sendsOutCover } from './effects.ts';

export interface Judged {
  cover: ProjectCover;
  /** All of the cover's, in the order of `seq`. */
  records: readonly AnyKept[];
  /** Degrees; null where no road direction is known. */
  bearingDeg: number | null;
  vacuumTable: VacuumTable | null;
  /** ISO 8601. */
  now: string;
}

export interface CoverJudgement {
  state: CoverState;
  verdict: AcceptanceVerdict;
  rim: RimJudgement | null;
  /** The vacuum test that counts; null where none does. */
  test: VacuumVerdict | null;
}

/** How a cover's records stand to its agency's policy. */
export function judgeCover({ limits }: ProjectHead, judged: Judged): CoverJudgement {
  const { cover, records, now, vacuumTable } = judged;
  const policy = policyFrom(limits, cover.structure.kind);
  const state = stateOfCover(records, { sent: sendsOutCover(cover), limits: policy });
  const { rimChecked, straightedge, bevelled } = state.checks;
  const rim =
    rimChecked && judgeRim(fourClocks(rimChecked.facts.rimErrorsM), policy, rimChecked.facts.sigmaM);
  const edge = straightedge && policy.straightedge;
  const tested = state.checks.vacuum;
  const test = tested && judgeTest(tested.facts, vacuumTable);
  const verdict = judgeAcceptance(policy, {
    rim,
    straightedge: edge ? judgeStraightedge(straightedge.facts, edge) : null,
    vacuum: test,
    route: cover.structure.accessibleRoute
      ? routeOf(judged, policy, { rim, bevelled: bevelled?.facts ?? null })
      : null,
    conflicts: state.conflicts,
    plates: state.plates,
    curing: stillCuring(state.cures, now),
  });
  return { state, verdict, rim, test };
}

/**
 * The step is that of the rim against its target. The cross slope is the rim's: that of the finished surface across the
 * road and what the checked rim is tilted against it.
 */
function routeOf(
  { cover, bearingDeg }: Judged,
  { accessible }: AcceptancePolicy,
  { rim, bevelled }: { rim: RimJudgement | null; bevelled: Facts['bevelled'] | null },
): RouteJudgement {
  const { structure, outcome } = cover;
  const asked = outcome?.reasons.find(({ code }) => code === 'setDown')?.values?.by;
  const setDown = structure.setDownM !== 0 ? structure.setDownM : Number(asked ?? 0);
  const plane = rim?.plane ?? null;
  const finished = outcome?.finished ?? null;
  let crossSlope: number | null = null;
  if (plane && finished && bearingDeg !== null) {
    const [east, north] = finished.gradient;
    const bearing = radians(bearingDeg);
    const across = east * Math.cos(bearing) - north * Math.sin(bearing);
    crossSlope = Math.abs(across + plane.right / (structure.rimDiameterM / 2));
  }
  const levelChange = rim && levelChangeOf(rim, setDown);
  const bevel = bevelled && { rise: bevelled.riseM, run: bevelled.runM };
  return judgeRoute({ levelChange, bevel, crossSlope, opening: null }, accessible);
}

/** The reasons of a verdict in the project's units, with what stands against its vacuum test. */
export function reasonTexts(
  project: ProjectHead,
  { bearingDeg, vacuumTable }: Pick<Judged, 'bearingDeg' | 'vacuumTable'>,
  { verdict, test }: Pick<CoverJudgement, 'verdict' | 'test'>,
): Acceptance['reasons'] {
  const units = paperUnits(project);
  const why =
    test && vacuumTable ? decidingReasons(test).map((reason) => sayVacuum(reason, vacuumTable)) : [];
  const wording = { isClock: bearingDeg !== null, moment: (at: string) => momentText(at, units) };
  return verdict.reasons.map((reason) => {
    const text = sayAcceptance(reason, units, wording);
    const isTest = reason.code === 'vacuumFailed' || reason.code === 'vacuumNotTested';
    return { code: reason.code, text: isTest ? [text, ...why].join(' ') : text };
  });
}

/** What stands for and against the acceptance of a cover. */
export function acceptanceOf(project: ProjectHead, judged: Judged): Acceptance {
  const { cover, records, bearingDeg, vacuumTable, now } = judged;
  const units = paperUnits(project);
  const { state, verdict, rim, test } = judgeCover(project, judged);
  const { proud, low } = policyFrom(project.limits, cover.structure.kind);
  const kept = (record: unknown) => record as AnyKept | null;
  return {
    structureId: cover.structureId,
    fieldStatus: state.status,
    verdict: verdict.verdict,
    reasons: reasonTexts(project, judged, { verdict, test }),
    limits: packLimits(project.limits, units),
    proudM: proud,
    lowM: low,
    rim: kept(state.checks.rimChecked),
    straightedge: kept(state.checks.straightedge),
    vacuum: state.vacuum as AnyKept[],
    vacuumTable: vacuumTable && { id: vacuumTable.id, name: vacuumTable.name, source: vacuumTable.source },
    worst: rim && { errorM: rim.worst.error, hour: bearingDeg === null ? null : rim.worst.clock },
    conflicts: state.conflicts.map(({ records: both }) => both as AnyKept[]),
    plates: state.plates.map(({ plate, since, by }) => ({ plate, since, by })),
    cures: stillCuring(state.cures, now).map(({ what, releaseAt }) => ({ what, releaseAt })),
    accepted: kept(state.checks.accepted),
    warnings: state.warnings.map(sayWarning),
    lastSeq: records.at(-1)?.seq ?? 0,
  };
}
