import type { Cover } from '../plan/types.ts';
import { readTapes, type Tapes } from '../surface/tapes.ts';
import type { FinishedGrade } from '../surface/types.ts';
import type { StackTarget } from './rigid.ts';

/** What is known of the cover at its hole. Lengths in metres, angles in radians. */
export type HoleCover = Pick<
  Cover,
  'seatElevation' | 'seatGradient' | 'frameHeight' | 'rimRadius' | 'setDown' | 'roadBearing'
>;

/**
 * Where the finished surface comes from: four tapes down from a string set on it, or the plan's own finished grade.
 */
export type HoleGrade =
  | { from: 'tapes'; tapes: Tapes }
  | { from: 'plan'; finished: Pick<FinishedGrade, 'elevation' | 'gradient' | 'sigmaRim'> };

export interface HoleRule {
  tolerance: number;
  /** Largest difference between the sums of opposite tapes; past it they are taken again. */
  misclosureLimit: number;
}

/**
 * Why no stack can be worked out at the hole; worded in holeWords.ts. `seatUnknown`: the plan's finished grade is known
 * and the seat under it is not, so that only tapes tell how far apart they are.
 */
export interface MeasureAgain {
  code: 'tapesDisagree' | 'tapeMissing' | 'radiusMissing' | 'seatUnknown';
  values: Record<string, number>;
}

export interface HoleTarget {
  target: StackTarget;
  /** Azimuth of 12 o'clock. */
  bearing: number;
  /** (12 + 6) - (9 + 3), metres; null where no tapes were taken. */
  misclosure: number | null;
}

/**
 * The target of a stack as it is seen at the hole; `markBearing` is that of marks counted from up-station.
 *
 * Tapes measure from the seat, whatever the register says of it: the seat is then the plane that all is reckoned from
 * (`seatGradient` [0, 0]), the missing thickness its gradient, and the frame's height goes off along the frame's own
 * axis. Against a seat of slope s this neglects rise x s^2 / 2, under 0.2 mm at 300 mm and 3 %. Of the plan's finished
 * grade the allowance is twice its sigma at the rim; tapes have none, the string is the grade.
 */
export function holeTarget(
  cover: HoleCover,
  grade: HoleGrade,
  { tolerance, misclosureLimit }: HoleRule,
): HoleTarget | MeasureAgain {
  const { frameHeight, rimRadius, setDown } = cover;
  const common = { frameHeight, rimRadius, tolerance };
  if (grade.from === 'plan') {
    if (cover.seatElevation === null) return { code: 'seatUnknown', values: {} };
    const { elevation, gradient, sigmaRim } = grade.finished;
    const bearing = cover.roadBearing ?? 0;
    const rise = elevation - setDown - cover.seatElevation;
    const seat = { seatGradient: cover.seatGradient, allowance: 2 * sigmaRim, markBearing: bearing };
    return { target: { ...common, ...seat, rise, gradient }, bearing, misclosure: null };
  }
  const { tapes } = grade;
  if (!(tapes.radius > 0)) return { code: 'radiusMissing', values: {} };
  const missing = tapes.down.findIndex((down) => !Number.isFinite(down));
  if (missing >= 0) return { code: 'tapeMissing', values: { clock: missing * 3 || 12 } };
  const { rise, gradient, misclosure, agrees } = readTapes(tapes, misclosureLimit);
  if (!agrees) return { code: 'tapesDisagree', values: { misclosure, limit: misclosureLimit } };
  const { bearing } = tapes;
  const seat = { seatGradient: [0, 0] as const, allowance: 0, markBearing: bearing };
  return { target: { ...common, ...seat, rise: rise - setDown, gradient }, bearing, misclosure };
}

export const isTarget = (answer: HoleTarget | MeasureAgain): answer is HoleTarget => 'target' in answer;
