import { handOf } from '#core/drawing/clock.ts';

/** Hours this near one another have labels on the dial that touch. */
const apartHours = 1.1;
/** Height of a line of words, pixels, and the width of `ring 2`. */
const line = 15;
const wide = 46;

/** Hours to put labels at on the dial, so that none covers another: neighbours move apart by as much each. */
export function spreadHours(hours: readonly number[]): number[] {
  if (hours.length !== 2) return [...hours];
  const [first, second] = hours;
  const between = ((second - first + 18) % 12) - 6;
  const short = apartHours - Math.abs(between);
  if (short <= 0 || between === 0) return [...hours];
  const move = (Math.sign(between) * short) / 2;
  return [(first - move + 12) % 12, (second + move + 12) % 12];
}

/** Places for labels inside the dial, at a reach from its centre; two that would touch stand one over the other. */
export function innerPlaces(hours: readonly number[], reach: number): { x: number; y: number }[] {
  const places = hours.map((hour) => {
    const [x, y] = handOf(hour);
    return { x: x * reach, y: y * reach };
  });
  if (places.length !== 2) return places;
  const [one, other] = places;
  const short = line - Math.abs(one.y - other.y);
  if (short <= 0 || Math.abs(one.x - other.x) >= wide) return places;
  const sign = one.y <= other.y ? -1 : 1;
  return [
    { x: one.x, y: one.y + (sign * short) / 2 },
    { x: other.x, y: other.y - (sign * short) / 2 },
  ];
}
