import { lacksRope, plannedJoint } from '#core/seal/sealPlan.ts';
import type { JointThickness } from '#core/stack/types.ts';
import type { CoverCard } from '#shared/cover.ts';
import { usualJointOf } from '../../../figures.ts';
import type { StackInForce } from './in-force.ts';

type Card = Pick<CoverCard, 'limits' | 'ringCatalogue'>;

/** The joints that a stack solved now is to have: with the thick rope of a vacuum test where one is asked for. */
export const wantedJoint = ({ limits, ringCatalogue }: Card): JointThickness =>
  plannedJoint(usualJointOf(ringCatalogue), {
    isVacuumAsked: limits.vacuumTest.value === 'all',
    thickRope: limits.thickRopeM.value,
  });

/** Whether the stack counts less rope than the vacuum test takes: it was planned before that was asked for. */
export const isRopeMissing = (card: Card, { joint, stack }: StackInForce): boolean =>
  lacksRope(joint, wantedJoint(card), stack.length);

/** The joints to solve with in place of the stack in force: its own, unless they lack a test's rope. */
export const jointToSolve = (card: Card, force: StackInForce | null): JointThickness =>
  force !== null && !isRopeMissing(card, force) ? force.joint : wantedJoint(card);
