import type { RoundTheClock } from '#core/field/facts.ts';
import { tapeHours } from '../tapes/doubt.ts';

/** Height and tilt of four rim errors: `1/8 in low in the middle; highest at 3, 1/16 in proud; lowest at 9, ...`. */
export function roundWords(errors: RoundTheClock<number>, say: (metres: number) => string): string {
  const middle = errors.reduce((sum, one) => sum + one, 0) / 4;
  const high = errors.indexOf(Math.max(...errors));
  const low = errors.indexOf(Math.min(...errors));
  if (errors[high] - errors[low] < 0.0005) return `${say(middle)} all round.`;
  return `${say(middle)} in the middle; at ${tapeHours[high]} ${say(errors[high])}, at ${tapeHours[low]} ${say(errors[low])}.`;
}

/** (12 + 6) - (9 + 3): a stiff rim on a flat surface gives nothing. Metres. */
export const twistOf = ([twelve, three, six, nine]: RoundTheClock<number>): number =>
  twelve + six - three - nine;
