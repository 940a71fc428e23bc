import type { JointThickness } from '#core/stack/types.ts';
import type { CoverCard } from '#shared/cover.ts';
import { jointOf } from '../../../figures.ts';

/** What lies in a joint: joint 0 on the seat, joint n on ring n. */
export interface JointOrder {
  form: 'bead' | 'rope';
  count: number;
  isThick: boolean;
}

interface Sealing {
  rings: number;
  joint: JointThickness;
  isVacuumAsked: boolean;
  /** Sound, but rough: takes two beads side by side. */
  isSeatRough: boolean;
}

/**
 * What is to be laid in each of `rings` + 1 joints. Rope and no tube where a vacuum test is asked for, thick where the
 * stack was solved with more than the catalogue's joint; two on a rough seat.
 */
export function jointOrders(
  { ringCatalogue }: Pick<CoverCard, 'ringCatalogue'>,
  { rings, joint, isVacuumAsked, isSeatRough }: Sealing,
): JointOrder[] {
  const usual = jointOf(ringCatalogue);
  return Array.from({ length: rings + 1 }, (_, index) => {
    const isThick =
      (index === 0 && joint.base > usual.base + 1e-6) ||
      (index === rings && rings > 0 && joint.top > usual.top + 1e-6);
    return {
      form: isVacuumAsked || isThick ? 'rope' : 'bead',
      count: index === 0 && isSeatRough ? 2 : 1,
      isThick,
    };
  });
}

/** `one bead`, `two thick ropes`. */
export function orderWords({ form, count, isThick }: JointOrder): string {
  const number = ['no', 'one', 'two', 'three'][count] ?? String(count);
  return `${number} ${isThick ? 'thick ' : ''}${form}${count === 1 ? '' : 's'}`;
}

/** `on the seat`, `on ring 2`. */
export const jointPlace = (joint: number): string => (joint === 0 ? 'on the seat' : `on ring ${joint}`);
