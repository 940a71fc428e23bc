import { metresPer } from '#core/units/length.ts';

/** The unit of the demo's coordinate system. */
const foot = metresPer['us-ft'];

/**
 * Metres that a file of feet can carry: the nearest thousandth (positions, elevations) or ten-thousandth (seats) of a
 * US survey foot. Kept like this, a town in memory and the files written from it are the same to the last bit.
 */
export function toWholeFeet(metres: number, decimals = 3): number {
  return Number(feetText(metres, decimals)) * foot;
}

export function feetText(metres: number, decimals = 3): string {
  return (metres / foot).toFixed(decimals);
}

/** Degrees with two decimals, as radians. */
export function toHundredthDegrees(angle: number): number {
  return (Number(degreesText(angle)) * Math.PI) / 180;
}

export function degreesText(angle: number): string {
  const degrees = (angle * 180) / Math.PI;
  return (((degrees % 360) + 360) % 360).toFixed(2);
}
