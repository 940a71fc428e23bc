import type { RingFact } from '#core/field/facts.ts';
import { clockHours, sideWords } from '#core/units/clock.ts';
import { radians } from '#core/units/slope.ts';
import type { CoverCard } from '#shared/cover.ts';
import type { RingCatalogue } from '#shared/ring-catalogue.ts';
import { nominalSize } from '../../../units.ts';

/** `Flat 2 in`, `Taper ½ to 1½ in`; the id where the catalogue does not have it. */
export function ringName(id: string, catalogue: RingCatalogue | null): string {
  const ring = catalogue?.rings.find((one) => one.id === id);
  if (!ring || !catalogue) return id;
  const { unit } = catalogue;
  return ring.thickM === ring.thinM
    ? `Flat ${nominalSize(ring.thickM, unit)} ${unit}`
    : `Taper ${nominalSize(ring.thinM, unit)} to ${nominalSize(ring.thickM, unit)} ${unit}`;
}

export const isTapered = (id: string, catalogue: RingCatalogue | null): boolean => {
  const ring = catalogue?.rings.find((one) => one.id === id);
  return ring !== undefined && ring.thickM > ring.thinM;
};

/** `11`, `5:30`: a clock hour without its word. */
export const hourShort = (hours: number): string =>
  Number.isInteger(hours) ? String(hours) : `${Math.floor(hours) || 12}:30`;

/** The hours of a taper's thick and thin side, to the half hour; null for a flat one or without the road's bearing. */
export function hoursOf(
  { azimuthDeg }: RingFact,
  { roadBearingDeg }: Pick<CoverCard, 'roadBearingDeg'>,
): { thick: number; thin: number } | null {
  if (azimuthDeg === null || roadBearingDeg === null) return null;
  const bearing = radians(roadBearingDeg);
  return {
    thick: clockHours(radians(azimuthDeg), bearing),
    thin: clockHours(radians(azimuthDeg + 180), bearing),
  };
}

/** `thick at 11, thin at 5`; degrees from north only where no road bearing is known. */
export function turnWords(placed: RingFact, card: Pick<CoverCard, 'roadBearingDeg'>): string {
  const hours = hoursOf(placed, card);
  if (hours) return `thick at ${hourShort(hours.thick)}, thin at ${hourShort(hours.thin)}`;
  return placed.azimuthDeg === null ? '' : `thick side ${Math.round(placed.azimuthDeg)}° from grid north`;
}

/** `toward the centre line`, for a huge hour to stand over. */
export const towards = (hours: number, offset: number | null): string => sideWords(hours, offset);

/** `Flat 3 in, flat 2 in, taper ½ to 1½ in, thick at 11`: bottom-up in one sentence; `no rings` for none. */
export function stackWords(stack: readonly RingFact[], card: CoverCard): string {
  if (stack.length === 0) return 'No rings, frame on the seat';
  const names = stack.map((placed) => {
    const hours = hoursOf(placed, card);
    const turn = hours ? `, thick at ${hourShort(hours.thick)}` : '';
    return ringName(placed.ring, card.ringCatalogue).toLowerCase() + turn;
  });
  const all = names.join('; ');
  return all.charAt(0).toUpperCase() + all.slice(1);
}

export const sameStack = (one: readonly RingFact[], other: readonly RingFact[]): boolean =>
  one.length === other.length &&
  one.every(
    ({ ring, azimuthDeg }, index) =>
      ring === other[index].ring &&
      (azimuthDeg === null) === (other[index].azimuthDeg === null) &&
      Math.abs((azimuthDeg ?? 0) - (other[index].azimuthDeg ?? 0)) < 0.5,
  );
