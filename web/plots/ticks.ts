import { roundStep } from '#core/drawing/scale.ts';
import { fixed } from '#core/units/format.ts';
import { fractionText } from '#core/units/fraction.ts';
import { metresPer } from '#core/units/length.ts';
import type { Units } from '../units.ts';

/** Steps of an inch that a rule has. */
const inchSteps = [1 / 16, 1 / 8, 1 / 4, 1 / 2, 1, 2];

/** Ticks inside [low, high], metres, with their text: inches by the divisions of a rule, else round millimetres. */
export function lengthTicks(
  low: number,
  high: number,
  { units: { smallUnit }, most }: { units: Units; most: number },
): { at: number; text: string }[] {
  const unit = metresPer[smallUnit];
  const span = (high - low) / unit;
  const fine = smallUnit === 'in' ? inchSteps.find((step) => span / step <= most) : undefined;
  const step = fine ?? Math.max(1, roundStep(span, most));
  const ticks: { at: number; text: string }[] = [];
  for (let index = Math.ceil(low / unit / step - 1e-9); index * step * unit <= high + 1e-9; index++) {
    const size = index * step;
    ticks.push({ at: size * unit, text: smallUnit === 'in' ? fractionText(size) : fixed(size, 0) });
  }
  return ticks;
}
