import { isSeatRough } from '#core/field/seat.ts';
import { type SealOrder, sealPlan, thickEnds } from '#core/seal/sealPlan.ts';
import type { JointThickness } from '#core/stack/types.ts';
import type { CoverCard } from '#shared/cover.ts';
import { usualJointOf } from '../../../figures.ts';
import { standing } from '../standing.ts';
import type { Hole } from '../types.ts';
import type { StackInForce } from './in-force.ts';

export { orderWords } from '#core/seal/sealPlan.ts';

interface Sealing {
  rings: number;
  joint: JointThickness;
  isVacuumAsked: boolean;
  /** Sound, but rough: takes two beads side by side. */
  isSeatRough: boolean;
}

/** What is to be laid in each of `rings` + 1 joints of a stack that was solved with `joint`: as paper says it too. */
export function jointOrders(
  { ringCatalogue }: Pick<CoverCard, 'ringCatalogue'>,
  { joint, ...asked }: Sealing,
): SealOrder[] {
  return sealPlan({ ...asked, isThick: thickEnds(joint, usualJointOf(ringCatalogue)) });
}

/** The joints of the stack in force, by what was seen of the seat. */
export const ordersOf = (hole: Hole, { stack, joint }: Pick<StackInForce, 'stack' | 'joint'>): SealOrder[] =>
  jointOrders(hole.card, {
    rings: stack.length,
    joint,
    isVacuumAsked: hole.accepted.vacuum,
    isSeatRough: isSeatRough(standing(hole.records)),
  });

/** `on the seat`, `on ring 2`. */
export const jointPlace = (joint: number): string => (joint === 0 ? 'on the seat' : `on ring ${joint}`);
