import type { Gradient } from './types.ts';

/** Four measure-downs from a string or straightedge set on the finished grade to the seat. Metres, radians. */
export interface Tapes {
  /** Down to the seat at 12, 3, 6 and 9 o'clock, looking up-station. */
  down: readonly [twelve: number, three: number, six: number, nine: number];
  /** Distance of each tape from the middle. */
  radius: number;
  /** Azimuth of 12 o'clock; 0 where the tapes were taken at north, east, south and west. */
  bearing: number;
}

export interface TapedTarget {
  /** Finished surface over the seat, at the middle. */
  rise: number;
  /** Missing thickness per metre, finished surface less seat: the rings are thick toward where it points. */
  gradient: Gradient;
  /** (12 + 6) - (9 + 3): nothing when string and seat are plane. */
  misclosure: number;
  /** The misclosure is within the limit; past it the string is twisted or bowed, or the seat is not flat: measure again. */
  agrees: boolean;
}

/** Tapes that disagree by more than this are measured again: 3 mm. Common practice, no source. */
export const tapeMisclosure = 0.003;

/**
 * The target as the tapes see it, relative to the seat: mean down d, and (d12 - d6) / 2r along the road,
 * (d3 - d9) / 2r across it. A tape is longer where more is missing, so the thick side points to the longest.
 * @throws RangeError for a radius that is not positive or a tape that is not a number.
 */
export function readTapes({ down, radius, bearing }: Tapes, limit: number = tapeMisclosure): TapedTarget {
  if (!(radius > 0)) throw new RangeError(`tapes need a radius above 0, got ${radius}`);
  const bad = down.find((d) => !Number.isFinite(d));
  if (bad !== undefined) throw new RangeError(`a tape must be a number, got ${bad}`);
  const [d12, d3, d6, d9] = down;
  const along = (d12 - d6) / (2 * radius);
  const across = (d3 - d9) / (2 * radius);
  const s = Math.sin(bearing);
  const c = Math.cos(bearing);
  const misclosure = d12 + d6 - d9 - d3;
  return {
    rise: (d12 + d3 + d6 + d9) / 4,
    gradient: [along * s + across * c, along * c - across * s],
    misclosure,
    agrees: Math.abs(misclosure) <= limit,
  };
}
