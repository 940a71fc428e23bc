import { waitsForSeat } from '#core/decision/words.ts';
import { clockHours, sideWords } from '#core/units/clock.ts';
import { fixed, formatStation } from '#core/units/format.ts';
import { fromMetres } from '#core/units/length.ts';
import { radians } from '#core/units/slope.ts';
import type { CoverPlan, PlacedRing } from '#shared/plan.ts';
import type { RingCatalogue } from '#shared/ring-catalogue.ts';
import { nominalSize, type PaperUnits, small } from './units.ts';

/** `24+18`: the station as it is painted on the curb. */
export function stationWords(stationM: number | null, units: PaperUnits): string {
  return stationM === null ? '' : formatStation(stationM, units.elevation).replace(/\.\d$/, '');
}

/** `6 ft right of centre`. */
export function offsetWords(offsetM: number | null, units: PaperUnits): string {
  if (offsetM === null) return '';
  const size = fixed(Math.abs(fromMetres(offsetM, units.elevation)), units.elevation === 'm' ? 1 : 0);
  if (Number(size) === 0) return 'on the centre line';
  return `${size} ${units.elevation === 'm' ? 'm' : 'ft'} ${offsetM > 0 ? 'right' : 'left'} of centre`;
}

/** `Valve box`: a register kind as words. */
export function kindWords(kind: string): string {
  const words = kind
    .replace(/([a-z])([A-Z])/g, '$1 $2')
    .replaceAll('_', ' ')
    .toLowerCase();
  return words.charAt(0).toUpperCase() + words.slice(1);
}

/** What is to be done, as the biggest words of a sheet. */
export function decisionWords(plan: CoverPlan | null, isTelescoping: boolean, units: PaperUnits): string {
  if (plan === null) return 'Not planned yet';
  const size = plan.rimErrorM === null ? '' : ` ${small(Math.abs(plan.rimErrorM), units)}`;
  const turn = isTelescoping ? 'Turn ' : '';
  switch (plan.status) {
    case 'raise':
      return `${turn ? `${turn}up` : 'Raise'}${size}`;
    case 'lower':
      if (plan.rimErrorM !== null && plan.rimErrorM < 0) return `Lower, then raise${size}`;
      return `${turn ? `${turn}down` : 'Lower'}${size}`;
    case 'leave':
      return 'Leave as it is';
    case 'rebuild':
      return 'Rebuild the chimney';
    case 'review':
      return 'Look before you build';
    case 'remeasure':
      return waitsForSeat(plan.reasons) ? 'Measure the seat' : 'Measure again';
    case 'unsurveyed':
      return 'No grade here yet';
  }
}

/** Only these have a stack that may be built as it is printed. */
export const isToBuild = (plan: CoverPlan | null): boolean =>
  plan !== null && (plan.status === 'raise' || plan.status === 'lower') && plan.finished !== null;

/** `Flat 3 in`, `Taper 1⁄2 to 1 1⁄2 in`; the id alone where the catalogue does not have it. */
export function ringWords(id: string, catalogue: RingCatalogue | null): string {
  const ring = catalogue?.rings.find((one) => one.id === id);
  if (!ring || !catalogue) return `Ring ${id}`;
  const { unit } = catalogue;
  if (ring.thinM === ring.thickM) return `Flat ${nominalSize(ring.thickM, unit)} ${unit}`;
  return `Taper ${nominalSize(ring.thinM, unit)} to ${nominalSize(ring.thickM, unit)} ${unit}`;
}

/** `flat 3 + flat 2 + taper`, bottom-up, for a line of a list. */
export function stackWords(stack: readonly PlacedRing[], catalogue: RingCatalogue | null): string {
  return stack
    .map(({ ring }) =>
      ringWords(ring, catalogue)
        .replace(/ (in|mm)$/, '')
        .replace(/^F/, 'f')
        .replace(/^T/, 't'),
    )
    .join(' + ');
}

/** Hours as a crew says them: `11`, `4:30`. */
export function hourWords(hours: number): string {
  const whole = Math.floor(hours);
  return hours === whole ? String(whole) : `${whole === 0 ? 12 : whole}:30`;
}

/** The opposite side of the clock. */
export const across = (hours: number): number => (hours > 6 ? hours - 6 : hours + 6);

export interface ThickThin {
  thick: string;
  thickSide: string;
  thin: string;
  thinSide: string;
}

/** Where a taper's thick and thin sides go, in clock words; null where the road's direction is not known. */
export function thickThin(
  azimuthDeg: number,
  bearingDeg: number | null,
  offsetM: number | null,
): ThickThin | null {
  if (bearingDeg === null) return null;
  const thick = clockHours(radians(azimuthDeg), radians(bearingDeg));
  const thin = across(thick);
  return {
    thick: hourWords(thick),
    thickSide: sideWords(thick, offsetM),
    thin: hourWords(thin),
    thinSide: sideWords(thin, offsetM),
  };
}

/** What stands at each of the four clocks on a drawing. */
export function clockNames(
  bearingDeg: number | null,
  offsetM: number | null,
): readonly [string, string, string, string] {
  if (bearingDeg === null) return ['North', 'East', 'South', 'West'];
  const side = (hours: number) =>
    offsetM === null || offsetM === 0
      ? hours === 3
        ? 'right'
        : 'left'
      : (hours === 3) === offsetM > 0
        ? 'curb'
        : 'centre';
  return ['12 up-station', `3 ${side(3)}`, '6 down', `9 ${side(9)}`];
}
