import type { Gradient } from '#core/surface/types.ts';
import { bearingAt, placeOf, type StationOffset, stationOf } from './alignment.ts';
import { type CrossSection, origin, type Street } from './streets.ts';

/** Length over which a street that yields at a crossing is warped to meet the other's edge. */
const warpLength = 18;

/** Lie of the land: a plane and two long waves, so that profiles are vertical curves of real streets' sharpness. */
function groundAt(east: number, north: number): number {
  const [x, y] = [east - origin.east, north - origin.north];
  return (
    214.6 +
    0.006 * x -
    0.004 * y +
    1.5 * Math.sin((2 * Math.PI * (x + 0.4 * y)) / 860) +
    1.3 * Math.cos((2 * Math.PI * (y - 0.3 * x)) / 940)
  );
}

/** How far the pavement lies above the centre line's profile at an offset. */
function sectionHeight(section: CrossSection, { station, offset }: StationOffset): number {
  if (section.form === 'crowned') return -section.crossSlope * Math.abs(offset);
  const into = (station - section.from) / section.transition;
  const outOf = (section.to - station) / section.transition;
  const share = Math.min(1, Math.max(0, Math.min(into, outOf)));
  return (1 - share) * -section.crossSlope * Math.abs(offset) + share * section.bank * offset;
}

/** The true finished surface: elevation of the pavement of a street at a station and offset, metres. */
export function surfaceAt(street: Street, place: StationOffset): number {
  const own = plainSurface(street, place);
  if (street.yieldsTo === null) return own;
  const [east, north] = placeOf(street.line, place);
  const across = stationOf(street.yieldsTo.line, east, north);
  const half = street.yieldsTo.width / 2;
  const beyond = Math.abs(across.offset) - half;
  if (beyond >= warpLength) return own;
  const clamped = Math.sign(across.offset) * Math.min(Math.abs(across.offset), half);
  const other = plainSurface(street.yieldsTo, { station: across.station, offset: clamped });
  const share = smooth(1 - Math.max(0, beyond) / warpLength);
  return share * other + (1 - share) * own;
}

/** Gradient of the true surface by central differences over 2 cm; on a crown it is the mean of the two sides. */
export function gradientAt(street: Street, { station, offset }: StationOffset): Gradient {
  const step = 0.01;
  const bearing = bearingAt(street.line, station);
  const stretch = 1 - offset * curvatureAt(street, station);
  const along =
    (surfaceAt(street, { station: station + step, offset }) -
      surfaceAt(street, { station: station - step, offset })) /
    (2 * step * stretch);
  const across =
    (surfaceAt(street, { station, offset: offset + step }) -
      surfaceAt(street, { station, offset: offset - step })) /
    (2 * step);
  const [sin, cos] = [Math.sin(bearing), Math.cos(bearing)];
  return [along * sin + across * cos, along * cos - across * sin];
}

/** Whether the place lies on the pavement of the street that this one yields to. */
export function isOnOtherPavement(street: Street, place: StationOffset): boolean {
  if (street.yieldsTo === null) return false;
  const across = stationOf(street.yieldsTo.line, ...placeOf(street.line, place));
  const { length } = street.yieldsTo.line;
  return (
    Math.abs(across.offset) <= street.yieldsTo.width / 2 && across.station >= 0 && across.station <= length
  );
}

function plainSurface(street: Street, place: StationOffset): number {
  const [east, north] = placeOf(street.line, { station: place.station, offset: 0 });
  return groundAt(east, north) + sectionHeight(street.section, place);
}

function curvatureAt(street: Street, station: number): number {
  return (street.line.elements.findLast((element) => element.station <= station) ?? street.line.elements[0])
    .curvature;
}

function smooth(share: number): number {
  return share * share * (3 - 2 * share);
}
