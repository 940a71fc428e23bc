import { sayAmounts, sealAmounts } from '#core/seal/kit.ts';
import {
  countSeals,
  lacksRope,
  orderWords,
  plannedJoint,
  type SealOrder,
  sealPlan,
  thickEnds,
} from '#core/seal/sealPlan.ts';
import type { JointThickness } from '#core/stack/types.ts';
import { sealSizes } from '#shared/sealant-limits.ts';
import { jointOf, usualJointOf } from './chimney.ts';
import type { SealWords, SheetCover } from './sheet/types.ts';
import { nominalSize } from './units.ts';

interface Sealed extends Pick<SheetCover, 'ringCatalogue' | 'limits' | 'chosen' | 'plan'> {
  /** Seen rough at the hole; default: not. */
  isSeatRough?: boolean;
}

/** What is laid in each joint of so many rings and how thick it ends, from the seat up. */
export function sealOf(
  rings: number,
  sealed: Sealed,
): { orders: SealOrder[]; joint: JointThickness; short: boolean } | null {
  const { ringCatalogue, limits } = sealed;
  if (!ringCatalogue) return null;
  const usual = usualJointOf(ringCatalogue);
  const isVacuumAsked = limits.vacuumTest.value === 'all';
  const joint = jointOf(sealed);
  const wanted = plannedJoint(usual, { isVacuumAsked, thickRope: limits.thickRopeM.value });
  return {
    orders: sealPlan({
      rings,
      isVacuumAsked,
      isThick: thickEnds(joint, usual),
      isSeatRough: sealed.isSeatRough ?? false,
    }),
    joint,
    short: lacksRope(joint, wanted, rings),
  };
}

/** The words of the sheet: `one thick rope under, 0.3 in`; `warning` where the stack does not count the rope of the test. */
export function sealWords(rings: number, sealed: Sealed): SealWords {
  const seal = sealOf(rings, sealed);
  if (!seal || !sealed.ringCatalogue) return { joints: [], counted: null, kit: '', warning: null };
  const { unit } = sealed.ringCatalogue;
  const joints = seal.orders.map((order, index) => {
    const { base, between, top } = seal.joint;
    const metres = index === 0 ? base : index === rings ? top : between;
    return metres > 0 ? `${orderWords(order)} under, ${nominalSize(metres, unit)} ${unit}` : 'no joint under';
  });
  const counted = countSeals([seal.orders]);
  return {
    joints,
    counted,
    kit: sayAmounts(sealAmounts(counted, sealSizes(sealed.limits))).join('; '),
    warning: seal.short ? ropeWarning(sealed.limits.thickRopeM.value!, unit) : null,
  };
}

const ropeWarning = (pressedM: number, unit: 'in' | 'mm') =>
  `Not to be built yet: a vacuum test is asked for, and these rings do not count its thick rope at bottom and top (${nominalSize(pressedM, unit)} ${unit} pressed). Plan again, solve them with the rope on the phone, or ask the engineer.`;
