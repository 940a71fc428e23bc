import { expectedDowns } from '#core/field/expectedDowns.ts';
import type { RoundTheClock } from '#core/field/facts.ts';
import { radians } from '#core/units/slope.ts';
import type { CoverCard } from '#shared/cover.ts';

/** Hours of the four tapes, in the order in which they are kept. */
export const tapeHours = [12, 3, 6, 9] as const;

/**
 * What the four tapes should read by the plan: finished surface over the seat, at the tapes' radius. Metres; null where
 * the plan has no finished grade, or the road's bearing or the seat is unknown.
 */
export function plannedTapes(
  { plan, structure, roadBearingDeg }: CoverCard,
  radius: number,
): RoundTheClock<number> | null {
  if (!plan?.finished || roadBearingDeg === null || structure.seatElevationM === null) return null;
  const { elevationM, gradientEast, gradientNorth } = plan.finished;
  return expectedDowns({
    rise: elevationM - structure.seatElevationM,
    gradient: [gradientEast - structure.seatGradientEast, gradientNorth - structure.seatGradientNorth],
    radius,
    bearing: radians(roadBearingDeg),
  });
}

/** What most likely went wrong where tapes disagree. `index` counts the tapes: 12, 3, 6, 9. */
export type Doubt =
  | { what: 'tape'; index: number; by: number }
  | { what: 'string'; line: 'along' | 'across'; by: number }
  | { what: 'unknown' };

/** How near the plan the truth usually is: height 6 mm, and slope 0.6 % at the tapes' radius. Common practice, no source. */
const usual = { height: 0.006, slope: 0.006 };
/** A suspect has to fit this much better than the next, in chi squared: about one chance in seven of a wrong one. */
const clearBy = 4;

/** With one sum to check, four tapes cannot say which of them is off; beside the plan's plane they often can. */
export function suspectOf(
  down: RoundTheClock<number>,
  planned: RoundTheClock<number> | null,
  radius: number,
): Doubt {
  if (planned === null) return { what: 'unknown' };
  const misclosure = down[0] + down[2] - down[1] - down[3];
  const tries = [
    ...tapeHours.map((_, index) => {
      const by = index % 2 === 0 ? misclosure : -misclosure;
      return { doubt: { what: 'tape', index, by } as Doubt, mended: mend(down, [index], by) };
    }),
    {
      doubt: { what: 'string', line: 'along', by: misclosure / 2 } as Doubt,
      mended: mend(down, [0, 2], misclosure / 2),
    },
    {
      doubt: { what: 'string', line: 'across', by: -misclosure / 2 } as Doubt,
      mended: mend(down, [1, 3], -misclosure / 2),
    },
  ]
    .map(({ doubt, mended }) => ({ doubt, misfit: misfitOf(mended, planned, radius) }))
    .sort((a, b) => a.misfit - b.misfit);
  return tries[1].misfit - tries[0].misfit >= clearBy ? tries[0].doubt : { what: 'unknown' };
}

/** `by` is what the suspects read too long. */
function mend(down: RoundTheClock<number>, suspects: number[], by: number): number[] {
  return down.map((size, index) => (suspects.includes(index) ? size - by : size));
}

/** Chi squared of a closed set of tapes against the plan's plane. */
function misfitOf(down: number[], planned: RoundTheClock<number>, radius: number): number {
  const [a, b, c, d] = down.map((size, index) => size - planned[index]);
  const height = (a + b + c + d) / 4 / usual.height;
  const along = (a - c) / (2 * radius) / usual.slope;
  const across = (b - d) / (2 * radius) / usual.slope;
  return height * height + along * along + across * across;
}

const side = { along: 'along the road', across: 'across the road' } as const;

/** `Tapes disagree by 3/8. Measure 6 again.` `size` writes a length for the crew. */
export function doubtWords(misclosure: number, doubt: Doubt, size: (metres: number) => string): string {
  const first = `Tapes disagree by ${size(misclosure)}.`;
  if (doubt.what === 'tape') {
    const way = doubt.by > 0 ? 'long' : 'short';
    return `${first} Measure ${tapeHours[doubt.index]} again: by the plan it reads ${size(doubt.by)} ${way}.`;
  }
  if (doubt.what === 'string') {
    const way = doubt.by > 0 ? 'high' : 'low';
    return `${first} The string ${side[doubt.line]} looks ${size(doubt.by)} ${way}. Set it again, then measure its two tapes.`;
  }
  return `${first} The string is twisted or sags, or the straightedge rocks. Set it again and measure all four.`;
}
