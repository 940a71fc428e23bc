import type { Chimney } from '#core/drawing/chimney.ts';
import { type RimError, rimErrorFrom } from '#core/drawing/rim.ts';
import { buildupNow } from '#core/register/chimney.ts';
import { countedJoint } from '#core/seal/sealPlan.ts';
import { composeStack, type RingInPlace, rimErrors, type StackTarget } from '#core/stack/rigid.ts';
import type { JointThickness, PlacedRing, Ring } from '#core/stack/types.ts';
import { degrees, radians } from '#core/units/slope.ts';
import type { CoverCard, CoverRow } from '#shared/cover.ts';
import type { CoverPlan, PlacedRing as PlacedRingDeg, Residual } from '#shared/plan.ts';
import type { RingCatalogue } from '#shared/ring-catalogue.ts';

/** Catalogue rings in core's terms. */
export function ringsOf(catalogue: RingCatalogue | null): Ring[] {
  return (catalogue?.rings ?? []).map((ring) => ({
    id: ring.id,
    thin: ring.thinM,
    thick: ring.thickM,
    outerDiameter: ring.outerDiameterM,
    maxPerStack: ring.maxPerStack,
    cost: ring.cost,
  }));
}

/** The joints of a catalogue without a vacuum test's rope. */
export function usualJointOf(catalogue: RingCatalogue | null): JointThickness {
  const { baseM: base = 0, betweenM: between = 0, topM: top = 0 } = catalogue?.joint ?? {};
  return { base, between, top };
}

/** The joints that a stack was planned with, by the rope that its plan counts. */
export const jointOf = (
  catalogue: RingCatalogue | null,
  planned: { thickRopeM?: number } | null,
): JointThickness => countedJoint(usualJointOf(catalogue), planned?.thickRopeM);

export const placedOf = (stack: readonly PlacedRingDeg[]): PlacedRing[] =>
  stack.map(({ ring, azimuthDeg }) => ({ ring, azimuth: azimuthDeg === null ? null : radians(azimuthDeg) }));

/** Largest rim error with its sign, + = proud: the error is largest on the side that the centre's error lies. */
export function signedWorst({ worstM, centreM }: Residual): number {
  return centreM < 0 ? -worstM : worstM;
}

/**
 * The same for a row of the table, which carries no centre error: what rings and joints make up, less what they
 * had to; for a casting that stays, its rim's centre today. The second-order effect of tilt is far below what is shown.
 */
export function signedWorstOfRow(row: CoverRow, catalogue: RingCatalogue | null): number | null {
  if (row.status === 'leave') return row.rimErrorM;
  if (row.worstM === null || isWithoutStack(row.status)) return null;
  const sizes = row.stack.map(({ ring }) => catalogue?.rings.find(({ id }) => id === ring));
  const isLow =
    row.netBuildupM === null || sizes.includes(undefined)
      ? (row.rimErrorM ?? 0) < 0
      : buildOf(sizes as RingCatalogue['rings'], jointOf(catalogue, row)) < row.netBuildupM;
  return isLow ? -row.worstM : row.worstM;
}

function buildOf(rings: RingCatalogue['rings'], joint: JointThickness): number {
  const joints =
    rings.length === 0 ? joint.base : joint.base + (rings.length - 1) * joint.between + joint.top;
  return rings.reduce((sum, { thinM, thickM }) => sum + (thinM + thickM) / 2, joints);
}

/** A rim error may differ this much from the stored one before its drawing is refused: 0.02 mm. */
const agreement = 2e-5;

/**
 * Rim error round the clock of the planned stack, composed anew by core. Null where the plan's residual is not
 * that of its stack on the seat (a casting that stays as it is), so that no wrong curve is drawn.
 */
export function rimErrorOf({ structure, plan, ringCatalogue }: CoverCard): RimError | null {
  const seat = structure.seatElevationM;
  if (!plan?.finished || !plan.residual || seat === null || isWithoutStack(plan.status)) return null;
  const rings = ringsOf(ringCatalogue);
  const placed: RingInPlace[] = [];
  for (const { ring: id, azimuth } of placedOf(plan.stack)) {
    const ring = rings.find((one) => one.id === id);
    if (!ring) return null;
    placed.push({
      thin: ring.thin,
      thick: ring.thick,
      outerDiameter: ring.outerDiameter,
      azimuth: azimuth ?? 0,
    });
  }
  const target: StackTarget = {
    rise: plan.finished.elevationM - structure.setDownM - seat,
    gradient: [plan.finished.gradientEast, plan.finished.gradientNorth],
    seatGradient: [structure.seatGradientEast, structure.seatGradientNorth],
    frameHeight: structure.frameHeightM,
    rimRadius: structure.rimDiameterM / 2,
    markBearing: 0,
    tolerance: 0,
    allowance: 0,
  };
  const joint = jointOf(ringCatalogue, plan);
  const { worst } = composeStack(target, placed, joint);
  if (Math.abs(worst - plan.residual.worstM) > agreement) return null;
  return rimErrorFrom(rimErrors(target, placed, joint, 4));
}

/** A casting that stays as it is, or a chimney that is built anew: the plan's stack is not what will stand there. */
export const isWithoutStack = (status: string | null) => status === 'leave' || status === 'rebuild';

/**
 * The worst rim error to show: that of the planned stack; for a casting that stays, that of its rim today as the
 * decision found it. Null where there is no stack to judge. Metres, + = proud.
 */
export function worstToShow({ status, reasons, residual, rimErrorM, stack }: CoverPlan): number | null {
  if (status === 'leave') {
    const within = Number(reasons.find(({ code }) => code === 'within')?.values.worst);
    return Number.isFinite(within) ? (rimErrorM !== null && rimErrorM < 0 ? -within : within) : rimErrorM;
  }
  if (isWithoutStack(status) || !residual) return null;
  // A frame on its bare seat is a plan of its own; without it an empty stack says nothing.
  return stack.length > 0 || status === 'raise' || status === 'lower' ? signedWorst(residual) : null;
}

/**
 * What the section cuts open: the planned stack, or today's chimney where none is planned and the rim is known. null where
 * the seat that all stands on was never measured.
 */
export function chimneyOf({ structure, plan, ringCatalogue }: CoverCard): Chimney | null {
  const { rimElevationM: rim, seatElevationM: seat, frameHeightM: frameHeight } = structure;
  if (seat === null) return null;
  const buildupToday = buildupNow({ rim, seat, frameHeight });
  const isAsToday = isWithoutStack(plan?.status ?? null) || structure.adjustment === 'telescoping';
  return {
    seatElevation: seat,
    seatGradient: [structure.seatGradientEast, structure.seatGradientNorth],
    stack: placedOf(plan?.stack ?? []),
    rings: ringsOf(ringCatalogue),
    joint: jointOf(ringCatalogue, plan),
    frameHeight,
    rimRadius: structure.rimDiameterM / 2,
    existing: isAsToday && buildupToday !== null ? Math.max(0, buildupToday) : null,
  };
}

/** A tapered ring by its number in the stack (1 = on the seat) and the azimuth of its thick side, radians. */
export interface PlacedTaper {
  number: number;
  thick: number;
}

export function tapersOf({ stack, status }: Pick<CoverPlan, 'stack' | 'status'>): PlacedTaper[] {
  if (isWithoutStack(status)) return [];
  return placedOf(stack).flatMap(({ azimuth }, index) =>
    azimuth === null ? [] : [{ number: index + 1, thick: azimuth }],
  );
}

/** Steepness of the finished grade, rise over run, and the azimuth of its fall in degrees. */
export function fallOf({ gradientEast, gradientNorth }: NonNullable<CoverPlan['finished']>) {
  return {
    slope: Math.hypot(gradientEast, gradientNorth),
    azimuthDeg: (degrees(Math.atan2(-gradientEast, -gradientNorth)) + 360) % 360,
  };
}
