import { type RimError, rimErrorAt } from '#core/drawing/rim.ts';
import type { RoundTheClock } from '#core/field/facts.ts';
import type { StackTarget } from '#core/stack/rigid.ts';
import { radians, slopeAlong } from '#core/units/slope.ts';

/** What a tape shows from the seat up to the rim at the four clocks, at the rim's radius, once the stack stands. Metres. */
export function seatToRim(target: StackTarget, rim: RimError, bearingDeg: number): RoundTheClock<number> {
  const [a, b] = target.gradient;
  const [p, q] = target.seatGradient;
  const at = (hour: number) => {
    const azimuth = radians(bearingDeg + hour * 30);
    return target.rise + target.rimRadius * slopeAlong([a - p, b - q], azimuth) + rimErrorAt(rim, azimuth);
  };
  return [at(12), at(3), at(6), at(9)];
}
