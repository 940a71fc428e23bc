import { decide, decideByCondition, seatUnknown, splitOf } from '../decision/decide.ts';
import { decideForMill } from '../decision/mill.ts';
import { type RimAgainstGrade, rimAgainstGrade } from '../decision/rim.ts';
import { netBuildup, type StackTarget } from '../stack/rigid.ts';
import type { Solution, Solver } from '../stack/solve.ts';
import type { LinePiece } from '../surface/breakLines.ts';
import { finishedFromShots, isGrade } from '../surface/finished.ts';
import type { Place } from '../surface/nearShots.ts';
import { estimateSigma } from '../surface/sigma.ts';
import { layOutSurvey, type Survey } from '../surface/survey.ts';
import type { FinishedGrade, NoGrade, Shot } from '../surface/types.ts';
import { withDrawnLines } from '../surface/uploadedLines.ts';
import type { Policy } from './policy.ts';
import type { Allowance, Cover, CoverPlan, PlanningStatus, Reason, Treatment } from './types.ts';

/** What the covers of one project have in common. */
export interface PlanContext {
  survey: Survey;
  /** A finished grade from somewhere else than shots, such as a design surface; absent = from the survey. */
  finishedAt?: (place: Place) => FinishedGrade | NoGrade;
  solver: Solver;
  policy: Policy;
  treatment: Treatment;
}

export const noTreatment: Treatment = { millDepth: 0, millClearance: 0, maxRiser: 0 };

/**
 * Lay out the shots of one surface and settle the sigma of a shot over all of them. Do this once for a project.
 * `lines`: drawn crown and gutter lines, which count beside those joined from coded shots.
 */
export function prepareSurvey(
  shots: readonly Shot[],
  covers: readonly Cover[],
  { policy, name, lines = [] }: { policy: Policy; name: string; lines?: readonly LinePiece[] },
): Survey {
  const survey = withDrawnLines(layOutSurvey(shots, name, policy.shotSigma), lines);
  return estimateSigma(survey, covers.map(placeOf), policy);
}

/** The place of a cover's rim, as the surfaces are asked for it. */
export const placeOf = ({ east, north, rimRadius, roadBearing }: Cover): Place => ({
  east,
  north,
  rimRadius,
  roadBearing,
});

const reason = (code: string, values: Reason['values'] = {}): Reason => ({ code, values });

/**
 * Plan one cover: finished grade, decision, stack. Pure: the same inputs give the same plan in any order of covers
 * and shots. All lengths in metres, angles in radians.
 */
export function planCover(cover: Cover, context: PlanContext): CoverPlan {
  const place = placeOf(cover);
  const { survey, policy } = context;
  const finished = context.finishedAt?.(place) ?? finishedFromShots(survey, place, policy);
  if (!isGrade(finished)) return unsurveyed(cover, finished, survey.allowance);
  const target = targetOf(cover, finished, context);
  const rim = rimAgainstGrade(survey, place, { ...cover, finished });
  const plan: CoverPlan = {
    status: 'remeasure',
    reasons: [],
    finished,
    netBuildup: target && netBuildup(target),
    rimError: rim?.centre ?? null,
    stack: [],
    residual: null,
    allowance: survey.allowance ? 'notMet' : 'off',
    runnerUp: null,
  };
  const weak = tooWeak(finished, policy, survey);
  if (!weak) return withStack(plan, { cover, finished, target, rim }, context);
  const first = decideByCondition(cover);
  const status = first?.status ?? weak.status;
  const seat = needsSeat(cover) ? [seatUnknown(cover)] : [];
  const reasons = [...(first?.reasons ?? []), weak.reason, ...seat, ...notes(finished, survey)];
  return { ...plan, status, reasons };
}

/** Whether somebody has to measure the seat before rings can be planned here; a telescoping top takes none. */
export const needsSeat = ({ seatElevation, adjustment, condition }: Cover): boolean =>
  seatElevation === null && adjustment !== 'telescoping' && condition.located !== false;

/** null where the seat was never measured. */
function targetOf(
  cover: Cover,
  finished: FinishedGrade,
  { solver, policy }: PlanContext,
): StackTarget | null {
  if (cover.seatElevation === null) return null;
  return {
    rise: finished.elevation - cover.setDown - cover.seatElevation,
    gradient: finished.gradient,
    seatGradient: cover.seatGradient,
    frameHeight: cover.frameHeight,
    rimRadius: cover.rimRadius,
    markBearing: solver.catalogue.indexFrom === 'road' ? (cover.roadBearing ?? 0) : 0,
    tolerance: policy.tolerance,
    allowance: 2 * finished.sigmaRim,
  };
}

interface Known {
  cover: Cover;
  finished: FinishedGrade;
  target: StackTarget | null;
  rim: RimAgainstGrade | null;
}

/** The decision on a cover whose finished grade is good enough, and the stack that belongs to it. */
function withStack(plan: CoverPlan, known: Known, context: PlanContext): CoverPlan {
  const { cover, finished, target, rim } = known;
  const { survey, solver, policy } = context;
  const solved = target && solver.solve(target, policy.objective);
  const allowance = 2 * finished.sigmaRim;
  const decision = decide({
    cover,
    catalogue: solver.catalogue,
    tolerance: policy.tolerance,
    allowance,
    rim,
    stack: target && solved && { netBuildup: netBuildup(target), best: solved.best },
    overLine: linesUnder(finished, cover),
    split: splitOf(finished, survey.shotSigma),
    overhang: finished.overhang ?? 0,
  });
  const decided = beforeTheMill({ ...plan, ...decision }, known, context);
  if (needsSeat(cover) && decided.status !== 'leave') askForSeat(decided, cover);
  decided.reasons.push(...notes(finished, survey));
  const off = !survey.allowance;
  if (cover.condition.located === false) return decided;
  // A telescoping top reaches any height, so only the survey stands between it and the tolerance.
  if (cover.adjustment === 'telescoping') return { ...decided, allowance: off ? 'off' : 'met' };
  const judge = (met: boolean): Allowance => (off ? 'off' : met ? 'met' : 'notMet');
  // What is left as it is, is judged by the rim that is there: only one whose tilt is known is left.
  const leaves = decided.status === 'leave' ? rim!.worst! + allowance <= policy.tolerance : null;
  if (!solved) return { ...decided, allowance: judge(leaves ?? false) };
  const { best, runnerUp } = solved;
  if (turnsBlind(cover, solver, best))
    return {
      ...decided,
      status: decided.status === 'raise' || decided.status === 'lower' ? 'review' : decided.status,
      reasons: [reason('bearingUnknown'), ...decided.reasons],
    };
  return {
    ...decided,
    ...ropeIn(decided, solver, best),
    stack: best.stack,
    residual: best.residual,
    allowance: judge(leaves ?? best.withinTolerance),
    runnerUp: runnerUp && {
      stack: runnerUp.stack,
      residual: runnerUp.residual,
      chimney: runnerUp.chimney,
      topGradient: runnerUp.topGradient,
      allowance: judge(runnerUp.withinTolerance),
    },
  };
}

/** Whatever else has to be done at a cover without a seat, its rings wait for it. */
function askForSeat({ reasons }: CoverPlan, cover: Cover): void {
  if (!reasons.some(({ code }) => code === 'seatUnknown')) reasons.push(seatUnknown(cover));
}

/** Row B5: the thick rope that a stack was solved with, and word of it where it is to be laid. */
function ropeIn(
  { status, reasons }: CoverPlan,
  { catalogue: { thickRope } }: Solver,
  { stack }: Solution,
): Pick<CoverPlan, 'reasons' | 'thickRope'> {
  if (thickRope === undefined) return { reasons };
  const said = reason('thickRope', { pressed: thickRope, joints: stack.length > 0 ? 2 : 1 });
  return { reasons: status === 'leave' ? reasons : [...reasons, said], thickRope };
}

/** Rows A4, A5 and A8 on top of a decision: what the treatment asks of the rim first. */
function beforeTheMill(
  plan: CoverPlan,
  { cover, rim }: Known,
  { treatment, solver }: PlanContext,
): CoverPlan {
  const milled = forMill(cover, treatment, solver);
  const { status, reasons } = plan;
  // A riser stands in the frame, whatever the seat is.
  const isRaised = status === 'raise' || reasons.some(({ code }) => code === 'seatUnknown');
  const riser = isRaised ? forRiser(rim, treatment) : [];
  if (!milled) return { ...plan, reasons: [...reasons, ...riser] };
  // The mill comes first: a rim that goes down and up again needs no straightedge as it stands now.
  const asked = reasons.some(({ code }) => code === 'askStraightedge');
  const overtaken = status === 'raise' || status === 'leave' || asked;
  const kept = overtaken ? reasons.filter(({ code }) => code !== 'askStraightedge') : reasons;
  const before = milled.code === 'millSeatUnknown' ? 'remeasure' : 'lower';
  return { ...plan, status: overtaken ? before : status, reasons: [milled, ...kept, ...riser] };
}

/** Tapered rings whose marks count from up-station cannot be told where to point while nobody knows where that is. */
const turnsBlind = ({ roadBearing }: Cover, { catalogue }: Solver, { stack }: Solution): boolean =>
  roadBearing === null &&
  catalogue.indexFrom === 'road' &&
  catalogue.indexPositions > 0 &&
  stack.some(({ azimuth }) => azimuth !== null);

/** Row B4: a line under the rim, whether its far side could be reckoned with or not. A design says so by its method. */
const linesUnder = ({ method, breakLine }: FinishedGrade, { rimRadius }: Cover): boolean =>
  method === 'compromise' || (method !== 'design' && breakLine !== null && breakLine.distance < rimRadius);

/** Row A6, and a surface too steep to be believed: nothing is cut from it. */
function tooWeak(
  { gradient, sigmaRim, shotsUsed, nearest, reach }: FinishedGrade,
  { maxGradient, tolerance }: Policy,
  { shotSigma, sigmaFrom }: Survey,
): { status: PlanningStatus; reason: Reason } | null {
  const slope = Math.hypot(...gradient);
  if (slope > maxGradient)
    return { status: 'review', reason: reason('steep', { slope, limit: maxGradient }) };
  const allowance = 2 * sigmaRim;
  if (allowance > tolerance)
    return {
      status: 'remeasure',
      reason: reason('surveyTooWeak', {
        allowance,
        tolerance,
        ...(shotsUsed > 0 && { shots: shotsUsed, nearest, reach }),
        // Shots with a record of their own have no one sigma.
        ...(shotsUsed > 0 && sigmaFrom !== 'recorded' && { sigma: shotSigma }),
      }),
    };
  return null;
}

function unsurveyed(cover: Cover, why: NoGrade, allowance: boolean): CoverPlan {
  const { reason: code, ...values } = why;
  const figures = Object.entries(values).filter(([, v]) => v !== null) as [string, number | string][];
  const reasons = [reason(code, Object.fromEntries(figures))];
  if (cover.condition.located === false) reasons.push(reason('notLocated'));
  if (needsSeat(cover)) reasons.push(seatUnknown(cover));
  return {
    status: 'unsurveyed',
    reasons,
    finished: null,
    netBuildup: null,
    rimError: null,
    stack: [],
    residual: null,
    allowance: allowance ? 'notMet' : 'off',
    runnerUp: null,
  };
}

/** What a reader of the plan should know of the surface under it. */
function notes(finished: FinishedGrade, survey: Survey): Reason[] {
  const { method, breakLine, rejected, misfit, unitVariance } = finished;
  const said: Reason[] = [];
  if (breakLine && method === 'compromise')
    said.push(reason('compromise', { line: breakLine.kind, distance: breakLine.distance, misfit }));
  else if (breakLine && (method === 'ownSide' || method === 'foundSide'))
    said.push(reason(method, { line: breakLine.kind, distance: breakLine.distance }));
  if (rejected.length > 0) {
    const off = rejected.reduce((most, r) => (Math.abs(r.residual) > Math.abs(most) ? r.residual : most), 0);
    const points = rejected.map((r) => r.point).join(', ');
    said.push(reason('leftOut', { count: rejected.length, points, worst: Math.abs(off), off }));
  }
  if (unitVariance > 4) said.push(reason('scatter', { times: Math.sqrt(unitVariance) }));
  if (survey.sigmaFrom === 'assumed' && survey.allowance && finished.shotsUsed > 0)
    said.push(reason('assumedSigma', { sigma: survey.shotSigma }));
  return said;
}

/** Row A8: a raise small enough for a riser set in the frame, which keeps the frame's own tilt. */
function forRiser(rim: RimAgainstGrade | null, { maxRiser }: Treatment): Reason[] {
  const raise = rim ? -rim.centre : 0;
  return raise > 0 && raise <= maxRiser ? [reason('riser', { raise, limit: maxRiser })] : [];
}

/** Rows A4 and A5: the rim as it is now stands in the way of the mill. */
function forMill(cover: Cover, treatment: Treatment, { catalogue }: Solver): Reason | null {
  if (cover.rimElevation === null || cover.adjustment === 'telescoping') return null;
  const { joint, rings } = catalogue;
  const thinnest = Math.min(...rings.map((r) => (r.thin + r.thick) / 2)) + joint.base + joint.top;
  const { rimElevation: rim, seatElevation: seat, frameHeight } = cover;
  if (seat === null) {
    const drop = treatment.millDepth + treatment.millClearance;
    return treatment.millDepth > 0 ? reason('millSeatUnknown', { drop }) : null;
  }
  const decision = decideForMill({ rim, seat, frameHeight }, treatment, thinnest);
  if (!decision) return null;
  const { way, drop, buildup, spare } = decision;
  return reason(`mill${way[0].toUpperCase()}${way.slice(1)}`, { drop, buildup, spare });
}
