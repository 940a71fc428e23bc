import { formatSmall } from '#core/units/format.ts';
import type { Histogram, NightProgress, ProjectPlots, StreetRemaining } from '#shared/plots.ts';
import { nightText } from '../night-words.ts';
import { limitWords } from '../outlook/words.ts';
import { nominal, type Units } from '../units.ts';
import { countBelow, countOf, joinBins } from './bars.ts';

const number = (count: number) => count.toLocaleString('en');
const covers = (count: number) => (count === 1 ? '1 cover' : `${number(count)} covers`);
const stacks = (count: number) => (count === 1 ? '1 stack' : `${number(count)} stacks`);
const all = (histogram: Histogram) => joinBins(histogram, Infinity);

/** What the histogram of net buildup says. */
export function buildupFinding(histogram: Histogram, units: Units): string {
  const { bins, medianM, unknown } = histogram;
  const known = countOf(all(histogram));
  if (known === 0 || medianM === null) return 'No cover has a net buildup yet.';
  const [least, most] = [bins[0].fromM, bins[bins.length - 1].toM];
  const open = unknown > 0 ? ` ${covers(unknown)} ${unknown === 1 ? 'has' : 'have'} no figure yet.` : '';
  return `${covers(known)} ${known === 1 ? 'needs' : 'need'} from ${nominal(least, units)} to ${nominal(most, units)} of rings and joints, half of them less than about ${nominal(medianM, units)}.${open}`;
}

/** What the histogram of rim errors says of the tolerance. */
export function residualFinding(histogram: Histogram, toleranceM: number, units: Units): string {
  const bars = all(histogram);
  const known = countOf(bars);
  if (known === 0) return 'No stack has been worked out yet.';
  const within = countBelow(bars, toleranceM);
  const tolerance = nominal(toleranceM, units);
  if (within === known)
    return `All ${stacks(known)} bring the rim within ${tolerance} of the finished surface.`;
  const missing = known - within;
  return `${number(within)} of ${stacks(known)} ${within === 1 ? 'brings' : 'bring'} the rim within ${tolerance} of the finished surface; ${number(missing)} ${missing === 1 ? 'misses' : 'miss'} it.`;
}

export const streetName = (street: string | null) => street ?? 'no street';

/** Which street has least left, and what is past the limit. */
export function remainingFinding(
  { remainingByStreet, limit }: Pick<ProjectPlots, 'remainingByStreet' | 'limit'>,
  units: Units,
): string {
  const known = remainingByStreet.filter(({ medianM }) => medianM !== null);
  if (known.length === 0) return 'No rim has been measured yet.';
  const [least] = known as [StreetRemaining];
  const past = known.reduce((sum, { pastLimit }) => sum + pastLimit, 0);
  const half = `Least is left on ${streetName(least.street)}: half of its covers can rise ${formatSmall(least.medianM!, units.small)} or less.`;
  const over =
    past === 0
      ? 'No cover is past the chimney limit.'
      : `${covers(past)} ${past === 1 ? 'is' : 'are'} past the chimney limit.`;
  return `${half} ${over} ${limitWords(limit, units)}`;
}

/** A rim that was set, and not found off grade since. */
const doneStatuses = ['set', 'accepted'];
export const doneOf = ({ byStatus }: NightProgress): number =>
  doneStatuses.reduce((sum, status) => sum + (byStatus[status] ?? 0), 0);

/** How far the nights have come, and the next that has work left. `today`: YYYY-MM-DD. */
export function nightsFinding(nights: readonly NightProgress[], today: string): string {
  const given = nights.filter(({ night }) => night !== null);
  if (given.length === 0) return 'No cover has been given a night yet.';
  const total = given.reduce((sum, { covers: count }) => sum + count, 0);
  const done = given.reduce((sum, one) => sum + doneOf(one), 0);
  const next = given.find((one) => one.night! >= today && doneOf(one) < one.covers);
  const behind = given
    .filter(({ night }) => night! < today)
    .reduce((sum, one) => sum + one.covers - doneOf(one), 0);
  return [
    `${number(done)} of ${covers(total)} with a night ${done === 1 ? 'is' : 'are'} set or accepted.`,
    behind > 0 ? `${number(behind)} of past nights ${behind === 1 ? 'is' : 'are'} not done.` : '',
    next ? `Next is ${nightText(next.night)} with ${number(next.covers - doneOf(next))} to do.` : '',
  ]
    .filter(Boolean)
    .join(' ');
}
