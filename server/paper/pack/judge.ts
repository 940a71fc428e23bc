import { rimErrorFrom, worstOf } from '#core/drawing/rim.ts';
import type { RoundTheClock } from '#core/field/facts.ts';
import type { PaperUnits } from '../units.ts';
import { nominal } from '../units.ts';
import { hourWords } from '../words.ts';
import { proudLow } from './rim.ts';
import type { Judgement } from './verdict.ts';

/** How far a rim may stand out of its target and lie below it, metres. */
export interface Allowed {
  proudM: number;
  lowM: number;
}

/** 0.02 mm: what a fraction typed at the hole may differ from the limit of the same name. */
const slack = 2e-5;

/**
 * The rim as checked against its limits: at the four clocks, and where the plane through them is farthest off in between.
 * `isClock`: the four are at 12, 3, 6 and 9 o'clock, else at north, east, south and west.
 */
export function judgeRim(
  errors: RoundTheClock<number> | null,
  { proudM, lowM }: Allowed,
  { units, isClock }: { units: PaperUnits; isClock: boolean },
): Judgement {
  if (errors === null) return { meets: false, reasons: [] };
  const names = isClock
    ? ['12', '3', '6', '9'].map((hour) => `${hour} o’clock`)
    : ['north', 'east', 'south', 'west'];
  const isOff = (error: number) => error > proudM + slack || error < -lowM - slack;
  const off = errors.flatMap((error, index) =>
    isOff(error) ? [`${proudLow(error, units)} at ${names[index]}`] : [],
  );
  const limits = `${nominal(proudM, units)} proud and ${nominal(lowM, units)} low`;
  if (off.length > 0)
    return { meets: false, reasons: [`The rim is ${off.join(', ')}; allowed are ${limits}.`] };
  const worst = worstOf(rimErrorFrom(errors), 0);
  if (isOff(worst.error) && isClock) {
    const hour = hourWords(Math.round(worst.hour * 2) / 2 || 12);
    return {
      meets: false,
      reasons: [
        `Between the four clocks, at ${hour}, the plane through them is ${proudLow(worst.error, units)}; allowed are ${limits}.`,
      ],
    };
  }
  return { meets: true, reasons: [`The rim is within ${limits} all round.`] };
}
