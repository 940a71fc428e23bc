import type { CoverPlan, RunnerUp } from '#core/plan/types.ts';
import { buildupNow } from '#core/register/chimney.ts';
import type { PlacedRing, Residual } from '#core/stack/types.ts';
import type { FinishedGrade } from '#core/surface/types.ts';
import type { CoverRow, NearShot } from '#shared/cover.ts';
import type * as shared from '#shared/plan.ts';
import type { ProjectCover } from './store/covers.ts';
import type { SurfaceShot } from './store/surfaces.ts';

/** core's outcomes in the words of the HTTP contract: metres by name, azimuths in degrees. */

/** `maxChimneyM`: the limit that the chimney is held to. */
export function toRow(cover: ProjectCover, maxChimneyM: number): CoverRow {
  const { structure, stationM, offsetM, outcome } = cover;
  const buildupM = buildupNow({
    rim: structure.rimElevationM,
    seat: structure.seatElevationM,
    frameHeight: structure.frameHeightM,
  });
  return {
    id: structure.id,
    kind: structure.kind,
    owner: structure.owner,
    street: structure.street,
    stationM,
    offsetM,
    lon: structure.lon,
    lat: structure.lat,
    status: outcome?.status ?? null,
    rimErrorM: outcome?.rimError ?? null,
    netBuildupM: outcome?.netBuildup ?? null,
    stack: outcome?.stack.map(toPlacedRing) ?? [],
    worstM: outcome?.residual?.worst ?? null,
    thickRopeM: outcome?.thickRope,
    sigmaRimM: outcome?.finished?.sigmaRim ?? null,
    allowance: outcome?.allowance ?? null,
    telescoping: structure.adjustment === 'telescoping',
    buildupM,
    remainingM: buildupM === null ? null : maxChimneyM - buildupM,
    planStale: cover.isStale,
    fieldStatus: cover.fieldStatus,
    conflict: cover.isConflict,
    crew: cover.crew,
    night: cover.night,
  };
}

export function toPlan(outcome: CoverPlan, revision: number): shared.CoverPlan {
  return {
    revision,
    status: outcome.status,
    reasons: outcome.reasons,
    finished: outcome.finished && toFinished(outcome.finished),
    netBuildupM: outcome.netBuildup,
    rimErrorM: outcome.rimError,
    stack: outcome.stack.map(toPlacedRing),
    residual: outcome.residual && toResidual(outcome.residual),
    allowance: outcome.allowance,
    runnerUp: outcome.runnerUp && toRunnerUp(outcome.runnerUp),
    thickRopeM: outcome.thickRope,
    source: outcome.source ?? null,
    stageElevations: (outcome.stageElevations ?? []).map(({ stage, lift, elevation }) => ({
      stage,
      lift,
      elevationM: elevation,
    })),
  };
}

/** A shot near a cover, with what the plan made of it. */
export function toNearShot(
  shot: SurfaceShot & { distance: number },
  [lon, lat]: [number, number],
  outcome: CoverPlan | null,
): NearShot {
  const finished = outcome?.finished;
  // Surveys may name their points alike; a plan of before surfaces were told apart names none.
  const ofPlan = outcome?.source?.surfaces.includes(shot.surface) ?? true;
  const rejected = ofPlan && (finished?.rejected.some(({ point }) => point === shot.point) ?? false);
  const used = ofPlan && (finished?.points.includes(shot.point) ?? false);
  return {
    point: shot.point,
    eastingM: shot.east,
    northingM: shot.north,
    lon,
    lat,
    elevationM: shot.elevation,
    code: shot.code,
    role: shot.role,
    sigmaM: shot.sigma,
    surface: shot.surface,
    distanceM: shot.distance,
    use: rejected ? 'rejected' : used ? 'used' : null,
  };
}

function toFinished(finished: FinishedGrade): shared.FinishedGrade {
  const { breakLine } = finished;
  return {
    elevationM: finished.elevation,
    gradientEast: finished.gradient[0],
    gradientNorth: finished.gradient[1],
    sigmaM: finished.sigma,
    sigmaRimM: finished.sigmaRim,
    method: finished.method,
    surface: finished.surface,
    shotsUsed: finished.shotsUsed,
    points: finished.points,
    rejected: finished.rejected.map(({ point, residual }) => ({ point, residualM: residual })),
    reachM: finished.reach,
    nearestM: finished.nearest,
    breakLine: breakLine && {
      kind: breakLine.kind,
      distanceM: breakLine.distance,
      azimuthDeg: degrees(breakLine.azimuth),
    },
    unitVariance: finished.unitVariance,
    misfitM: finished.misfit,
  };
}

function toRunnerUp({ stack, residual, chimney, topGradient, allowance }: RunnerUp) {
  return {
    stack: stack.map(toPlacedRing),
    residual: toResidual(residual),
    chimneyM: chimney,
    topGradientEast: topGradient[0],
    topGradientNorth: topGradient[1],
    allowance,
  };
}

function toPlacedRing({ ring, azimuth }: PlacedRing): shared.PlacedRing {
  return { ring, azimuthDeg: azimuth === null ? null : degrees(azimuth) };
}

function toResidual({ worst, centre, tilt }: Residual): shared.Residual {
  return { worstM: worst, centreM: centre, tiltM: tilt };
}

function degrees(radians: number): number {
  return ((((radians * 180) / Math.PI) % 360) + 360) % 360;
}
