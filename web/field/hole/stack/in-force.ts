import { type RimError, rimErrorFrom } from '#core/drawing/rim.ts';
import type { MadeRecord, RingFact, TapesTaken } from '#core/field/facts.ts';
import { composeStack, type RingInPlace, rimErrors, type StackTarget } from '#core/stack/rigid.ts';
import type { JointThickness, Residual } from '#core/stack/types.ts';
import { readTapes } from '#core/surface/tapes.ts';
import { radians } from '#core/units/slope.ts';
import type { CoverCard } from '#shared/cover.ts';
import { isWithoutStack, jointOf, placedOf, ringsOf } from '../../../figures.ts';
import { lastOf } from '../standing.ts';
import type { CoverRecord } from '../types.ts';

/** The stack that is to be built: the one chosen at the hole, else the plan's. */
export interface StackInForce {
  stack: RingFact[];
  joint: JointThickness;
  /** null: the plan's. */
  chosen: MadeRecord<'stackChosen'> | null;
  /** null where neither plan nor tapes say what the rim has to reach. */
  target: StackTarget | null;
}

export function stackInForce(card: CoverCard, records: readonly CoverRecord[]): StackInForce | null {
  const chosen = lastOf(records, 'stackChosen');
  if (chosen) {
    const { stack, jointM, tapes } = chosen.facts;
    const target = tapes ? tapedTarget(card, tapes) : solvedTarget(card, chosen.facts);
    return { stack, joint: jointM, chosen, target };
  }
  const { plan } = card;
  if (!plan?.residual || isWithoutStack(plan.status) || card.structure.adjustment === 'telescoping')
    return null;
  return {
    stack: plan.stack,
    joint: jointOf(card.ringCatalogue, plan),
    chosen: null,
    target: plannedTarget(card),
  };
}

/** More than how a stack is written down: it was solved on another seat than the plan's. */
const otherSeatM = 5e-4;

/** The plan's target where the stack was solved for it; null for one that was solved on the seat as a checked rim shows it. */
function solvedTarget(card: CoverCard, { stack, jointM, worstM }: MadeRecord<'stackChosen'>['facts']) {
  const target = plannedTarget(card);
  const fit = target && fitOf(card, target, { stack, joint: jointM });
  return fit && Math.abs(fit.worst - worstM) > otherSeatM ? null : target;
}

function commonTarget({ structure, limits }: CoverCard) {
  return {
    frameHeight: structure.frameHeightM,
    rimRadius: structure.rimDiameterM / 2,
    markBearing: 0,
    tolerance: limits.toleranceM.value,
    allowance: 0,
  };
}

/** What the plan has the rim reach, seen from the seat; null where either is unknown. */
export function plannedTarget(card: CoverCard): StackTarget | null {
  const { plan, structure } = card;
  if (!plan?.finished || structure.seatElevationM === null) return null;
  return {
    ...commonTarget(card),
    rise: plan.finished.elevationM - structure.setDownM - structure.seatElevationM,
    gradient: [plan.finished.gradientEast, plan.finished.gradientNorth],
    seatGradient: [structure.seatGradientEast, structure.seatGradientNorth],
  };
}

/** What four tapes have the rim reach: they see the surface from the seat, so the seat counts as level. */
export function tapedTarget(card: CoverCard, tapes: TapesTaken): StackTarget {
  const { rise, gradient } = readTapes({
    down: tapes.downM,
    radius: tapes.radiusM,
    bearing: radians(tapes.bearingDeg),
  });
  return { ...commonTarget(card), rise: rise - card.structure.setDownM, gradient, seatGradient: [0, 0] };
}

/** How the rim ends on these rings: null where a ring is not in the catalogue. */
export function fitOf(
  card: CoverCard,
  target: StackTarget,
  { stack, joint }: Pick<StackInForce, 'stack' | 'joint'>,
): (Residual & { rim: RimError; chimney: number }) | null {
  const rings = ringsOf(card.ringCatalogue);
  const placed: RingInPlace[] = [];
  for (const { ring: id, azimuth } of placedOf(stack)) {
    const ring = rings.find((one) => one.id === id);
    if (!ring) return null;
    placed.push({ ...ring, azimuth: azimuth ?? 0 });
  }
  const { worst, centre, tilt, chimney } = composeStack(target, placed, joint);
  return { worst, centre, tilt, chimney, rim: rimErrorFrom(rimErrors(target, placed, joint, 4)) };
}

/**
 * How far the rim is raised from where it is today, + = up; null where today's rim is unknown. From the rim as the plan
 * measured it (its rim shots before the register's one elevation), so that phone, paper and desk name one figure; tapes
 * move the target in force, and the raise with it.
 */
export function raiseOf(card: CoverCard, target: StackTarget | null): number | null {
  const { structure, plan } = card;
  if (plan?.rimErrorM != null) {
    const planned = plannedTarget(card);
    return (target && planned ? target.rise - planned.rise : 0) - plan.rimErrorM;
  }
  const { rimElevationM: rim, seatElevationM: seat } = structure;
  return rim === null || seat === null || target === null ? null : target.rise - (rim - seat);
}
