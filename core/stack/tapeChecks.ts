import type { RoundTheClock } from '../field/facts.ts';
import type { Gradient } from '../surface/types.ts';
import { composeStack, type RingInPlace, type StackTarget } from './rigid.ts';
import type { JointThickness } from './types.ts';

/** What tapes should read at 12, 3, 6 and 9 o'clock while a stack is built, plumb, metres. */
export interface TapeChecks {
  /** From the seat up to the top of the frame. */
  seatToRim: RoundTheClock<number>;
  /** From the string on finished grade down to the seat. */
  stringToSeat: RoundTheClock<number>;
  /** From the string down to the top of each ring, bottom-up. */
  stringToTops: RoundTheClock<number>[];
}

/** A plane over the seat's centre. */
interface Level {
  height: number;
  gradient: Gradient;
}

/**
 * The tapes by which a crew checks a stack on its way, all at `radius` from the middle. The string lies on the finished
 * surface, `setDown` over the target of the rim. `bearing`: azimuth of 12 o'clock.
 */
export function tapeChecks(
  target: StackTarget,
  rings: readonly RingInPlace[],
  {
    joint,
    radius,
    bearing,
    setDown,
  }: { joint: JointThickness; radius: number; bearing: number; setDown: number },
): TapeChecks {
  const at = ({ height, gradient: [a, b] }: Level): RoundTheClock<number> => {
    const of = (quarter: number) => {
      const azimuth = bearing + (quarter * Math.PI) / 2;
      return height + radius * (a * Math.sin(azimuth) + b * Math.cos(azimuth));
    };
    return [of(0), of(1), of(2), of(3)];
  };
  const seat = at({ height: 0, gradient: target.seatGradient });
  const string = at({ height: target.rise + setDown, gradient: target.gradient });
  const between = (over: RoundTheClock<number>, under: RoundTheClock<number>) =>
    over.map((height, index) => height - under[index]) as RoundTheClock<number>;
  const tops = rings.map((_, index) =>
    at(levelOver({ ...target, frameHeight: 0 }, rings.slice(0, index + 1), { ...joint, top: 0 })),
  );
  return {
    seatToRim: between(at(levelOver(target, rings, joint)), seat),
    stringToSeat: between(string, seat),
    stringToTops: tops.map((top) => between(string, top)),
  };
}

/** The plane of the top of a stack: composed once for its gradient, once for its height over the seat's centre. */
function levelOver(target: StackTarget, rings: readonly RingInPlace[], joint: JointThickness): Level {
  const { topGradient } = composeStack(target, rings, joint);
  const { centre } = composeStack({ ...target, rise: 0, gradient: topGradient }, rings, joint);
  return { height: centre, gradient: topGradient };
}
