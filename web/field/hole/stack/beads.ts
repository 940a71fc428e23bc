import { type SealOrder, sealPlan, thickEnds } from '#core/seal/sealPlan.ts';
import type { JointThickness } from '#core/stack/types.ts';
import type { CoverCard } from '#shared/cover.ts';
import { usualJointOf } from '../../../figures.ts';

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

/** `on the seat`, `on ring 2`. */
export const jointPlace = (joint: number): string => (joint === 0 ? 'on the seat' : `on ring ${joint}`);
