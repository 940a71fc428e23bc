import type { Gradient } from '../surface/types.ts';
import type { RoundTheClock } from './facts.ts';

/** The tapes that a plan expects, the other way round than core/surface/tapes.ts reads them. Metres, radians. */
export interface DownsOf {
  /** Finished surface over the seat, at the middle. */
  rise: number;
  /** Finished surface less seat. */
  gradient: Gradient;
  /** Of each tape from the middle, above 0. */
  radius: number;
  /** Azimuth of 12 o'clock. */
  bearing: number;
}

/** Measure-downs at 12, 3, 6 and 9 o'clock from a string on finished grade to the seat, metres. */
export function expectedDowns({
  rise,
  gradient: [east, north],
  radius,
  bearing,
}: DownsOf): RoundTheClock<number> {
  const along = radius * (east * Math.sin(bearing) + north * Math.cos(bearing));
  const across = radius * (east * Math.cos(bearing) - north * Math.sin(bearing));
  return [rise + along, rise + across, rise - along, rise - across];
}
