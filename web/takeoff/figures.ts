import type { Takeoff, TakeoffRing } from '#shared/takeoff.ts';
import { nominalSize } from '../units.ts';

/** `Flat 3 in`, `Taper ½ to 1½ in`. */
export function sizeWords({ kind, thinM, thickM }: TakeoffRing, unit: 'in' | 'mm'): string {
  const thick = nominalSize(thickM, unit);
  return kind === 'flat' ? `Flat ${thick} ${unit}` : `Taper ${nominalSize(thinM, unit)} to ${thick} ${unit}`;
}

/** `3 packs of 4`, `7 rings`; `none`. */
export function orderText({ packs, pack, toOrder }: TakeoffRing): string {
  const rings = toOrder === 1 ? '1 ring' : `${toOrder.toLocaleString('en')} rings`;
  if (packs === 0) return 'none';
  if (pack === 1) return rings;
  return `${packs === 1 ? '1 pack' : `${packs.toLocaleString('en')} packs`} of ${pack}`;
}

/** Rings that somebody has to think of: needed, spare, or already built. */
export const isInUse = ({ needed, spare, built }: TakeoffRing): boolean => needed + spare + built > 0;

/** What is short, in words; of a stock that nobody counted nothing is known. */
export function shortWords({ rings, totals }: Takeoff): string {
  const counted = rings.filter(({ needed, onHand }) => needed > 0 && onHand !== null);
  if (totals.kinds === 0) return 'No ring is needed, so none is short.';
  if (counted.length === 0) return 'Nobody counted what is on hand: all that is needed counts as short.';
  const short = rings.filter((ring) => ring.short > 0);
  const uncounted = totals.kinds - counted.length;
  const tail =
    uncounted > 0
      ? ` Of ${uncounted === 1 ? '1 kind' : `${uncounted} kinds`} nobody counted what is on hand.`
      : '';
  if (short.length === 0) return `Enough of every kind is on hand for what is needed.${tail}`;
  const sum = totals.short.toLocaleString('en');
  const kinds = short.length === 1 ? '1 kind' : `${short.length} kinds`;
  return `${sum} ${totals.short === 1 ? 'ring is' : 'rings are'} short in ${kinds}, no spare counted.${tail}`;
}

/** Statuses that a reason is one of: their covers can be looked at on the map. */
const shownAs: ReadonlySet<string> = new Set([
  'unplanned',
  'unsurveyed',
  'remeasure',
  'review',
  'rebuild',
  'offGrade',
]);
export const statusOfReason = (reason: string): string | null => (shownAs.has(reason) ? reason : null);
