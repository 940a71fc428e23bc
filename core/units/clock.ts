import { normaliseAzimuth } from './slope.ts';

/**
 * Hour on a clock lying on the road, read from above: 12 is up-station, 3 is to the right.
 * Azimuths in radians; the answer is to the half hour, in (0, 12].
 */
export function clockHours(azimuth: number, roadBearing: number): number {
  const halfHours = Math.round((normaliseAzimuth(azimuth - roadBearing) * 12) / Math.PI) % 24;
  return halfHours === 0 ? 12 : halfHours / 2;
}

/** Azimuth of a clock hour, in [0, 2 pi). */
export function azimuthOfClock(hours: number, roadBearing: number): number {
  return normaliseAzimuth(roadBearing + (hours * Math.PI) / 6);
}

/** `5 o’clock`, `5:30`, `12:30`. */
export function clockText(hours: number): string {
  const whole = Math.floor(hours);
  return hours === whole ? `${whole} o’clock` : `${whole === 0 ? 12 : whole}:30`;
}

/**
 * The side that a clock hour points to, in a crew's words. `offset` is the cover's distance right of the street's
 * centre line looking up-station (metres, left is negative); null, or 0 on the line itself, gives plain right and left.
 */
export function sideWords(hours: number, offset: number | null): string {
  if (hours >= 11.5 || hours <= 0.5) return 'up-station';
  if (hours >= 5.5 && hours <= 6.5) return 'down-station';
  const right = hours < 6;
  if (offset === null || offset === 0) return right ? 'to the right' : 'to the left';
  return right === offset > 0 ? 'toward the curb' : 'toward the centre line';
}

/** `toward the curb, 5 o’clock looking up-station`. */
export function clockWords(azimuth: number, roadBearing: number, offset: number | null = null): string {
  const hours = clockHours(azimuth, roadBearing);
  return `${sideWords(hours, offset)}, ${clockText(hours)} looking up-station`;
}
