import { waitsForSeat } from '#core/decision/words.ts';
import { fixed, formatSmall, formatStation, proudOrLow } from '#core/units/format.ts';
import { fromMetres } from '#core/units/length.ts';
import type { CoverRow } from '#shared/cover.ts';
import type { CoverPlan, PlacedRing } from '#shared/plan.ts';
import type { RingCatalogue } from '#shared/ring-catalogue.ts';
import { nominalSize, type Units } from './units.ts';

/** `3 · 2 · taper`, bottom-up. */
export function stackShort(stack: readonly PlacedRing[], catalogue: RingCatalogue | null): string {
  return stack
    .map(({ ring: id, azimuthDeg }) => {
      if (azimuthDeg !== null) return 'taper';
      const ring = catalogue?.rings.find((one) => one.id === id);
      return ring && catalogue ? nominalSize(ring.thickM, catalogue.unit) : id;
    })
    .join(' · ');
}

/** What stands in the stack column: rings bottom-up, or why there are none. */
export function stackCell(
  row: CoverRow,
  catalogue: RingCatalogue | null,
): { text: string; isRings: boolean } {
  const because: Record<string, string> = {
    leave: 'stays as it is',
    rebuild: 'new chimney',
    unsurveyed: 'no grade yet',
    remeasure: 'not decided',
  };
  if (row.telescoping) return { text: 'screw top, no rings', isRings: false };
  const why = because[row.status ?? ''];
  if (why) return { text: why, isRings: false };
  const rings = stackShort(row.stack, catalogue);
  if (rings) return { text: rings, isRings: true };
  return { text: row.worstM === null ? 'no stack' : 'frame on the seat', isRings: false };
}

/** `3 in flat, 2 in flat, taper on top`. */
export function stackSentence(stack: readonly PlacedRing[], catalogue: RingCatalogue | null): string {
  const tapers = stack.filter(({ azimuthDeg }) => azimuthDeg !== null).length;
  const flats = stack
    .filter(({ azimuthDeg }) => azimuthDeg === null)
    .map(({ ring: id }) => {
      const ring = catalogue?.rings.find((one) => one.id === id);
      return ring && catalogue ? nominalSize(ring.thickM, catalogue.unit) : id;
    });
  const parts: string[] = [];
  const unit = catalogue ? ` ${catalogue.unit}` : '';
  parts.push(...flats.map((size) => `${size}${unit} flat`));
  if (tapers > 0) parts.push(tapers === 1 ? 'taper on top' : `${tapers} tapers on top`);
  return parts.join(', ');
}

/** What is to be done, in one sentence. */
export function decisionSentence(plan: CoverPlan, catalogue: RingCatalogue | null, units: Units): string {
  const size = plan.rimErrorM === null ? '' : ` ${formatSmall(Math.abs(plan.rimErrorM), units.small)}`;
  const stack = stackSentence(plan.stack, catalogue);
  const withStack = stack ? `: ${stack}` : '';
  switch (plan.status) {
    case 'raise':
      return `Raise${size}${withStack || ': frame set straight on the seat'}.`;
    case 'lower':
      // Low of the new surface and yet in the mill's way: down first, up afterwards.
      if (plan.rimErrorM !== null && plan.rimErrorM < 0)
        return `Lower before milling, then raise${size}${withStack}.`;
      return `Lower${size}${withStack}.`;
    case 'leave':
      return 'Leave it as it is.';
    case 'rebuild':
      return 'Rebuild the chimney.';
    case 'review':
      return stack ? `Somebody has to look. Nearest stack${withStack}.` : 'Somebody has to look.';
    case 'remeasure':
      return waitsForSeat(plan.reasons)
        ? 'Measure the seat before a ring is cut.'
        : 'Measure again before a ring is cut.';
    case 'unsurveyed':
      return 'No finished grade here yet.';
  }
}

/** `Raise 2.40`, `Lower 1.60`: the action's size in the heading's unit. */
export function actionShort(row: CoverRow, units: Units): string {
  if (row.status === null) return 'not planned yet';
  if (row.status === 'unsurveyed' || row.status === 'remeasure') return 'not decided';
  if (row.status === 'leave') return 'Leave';
  if (row.rimErrorM === null) return row.status === 'review' ? 'not decided' : row.status;
  const size = fixed(fromMetres(Math.abs(row.rimErrorM), units.smallUnit), units.smallUnit === 'in' ? 2 : 0);
  return `${row.rimErrorM < 0 ? 'Raise' : 'Lower'} ${size}`;
}

export function stationText(stationM: number | null, units: Units): string {
  return stationM === null ? '·' : formatStation(stationM, units.elevation).replace(/\.\d$/, '');
}

/** `6 R`, `5 L`: distance from the centre line in the heading's unit. */
export function offsetShort(offsetM: number | null, units: Units): string {
  if (offsetM === null) return '·';
  const size = fixed(Math.abs(fromMetres(offsetM, units.elevation)), units.elevation === 'm' ? 1 : 0);
  return Number(size) === 0 ? 'centre' : `${size} ${offsetM > 0 ? 'R' : 'L'}`;
}

/** `6 ft right of centre`. */
export function offsetWords(offsetM: number | null, units: Units): string | null {
  if (offsetM === null) return null;
  const size = fixed(Math.abs(fromMetres(offsetM, units.elevation)), units.elevation === 'm' ? 1 : 0);
  if (Number(size) === 0) return 'on the centre line';
  return `${size} ${units.elevation === 'm' ? 'm' : 'ft'} ${offsetM > 0 ? 'right' : 'left'} of centre`;
}

/** `± 0.10 in`; a survey that nobody counts has no doubt of nothing. */
export const doubtShort = (twoSigma: number, units: Units): string =>
  twoSigma === 0 ? 'allowance off' : `± ${formatSmall(twoSigma, units.small)}`;

/** Words for the mini band: `0.13 in low ± 0.10 in`, `0.13 in low, allowance off`. */
export function worstWords(worst: number, twoSigma: number, units: Units): string {
  return `${proudOrLow(worst, units.small)}${twoSigma === 0 ? ',' : ''} ${doubtShort(twoSigma, units)}`;
}

/** `manhole`, `valve box`: a register kind as a word. */
export function kindWords(kind: string): string {
  const words = kind
    .replace(/([a-z])([A-Z])/g, '$1 $2')
    .replaceAll('_', ' ')
    .toLowerCase();
  return words.charAt(0).toUpperCase() + words.slice(1);
}
