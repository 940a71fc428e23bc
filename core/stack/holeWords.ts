import { formatSmall, type SmallLengthStyle } from '../units/format.ts';
import type { MeasureAgain } from './holeTarget.ts';

/** Says what is wrong with the tapes and what to do, in the units of the crew. */
export function sayMeasureAgain({ code, values }: MeasureAgain, style: SmallLengthStyle): string {
  if (code === 'radiusMissing') return 'How far from the middle were the tapes held?';
  if (code === 'seatUnknown')
    return 'The seat was never measured, so the plan cannot say how much is missing: take the four tapes from the string down to it.';
  if (code === 'tapeMissing') return `The tape at ${values.clock} o’clock is missing.`;
  const by = formatSmall(Math.abs(values.misclosure), style);
  const limit = formatSmall(values.limit, style);
  return `12 and 6 differ from 9 and 3 by ${by}; up to ${limit} is usual. The string is twisted or bowed, or the seat is not flat: measure again.`;
}
