import { normaliseAzimuth } from '../units/slope.ts';
import { type RingInPlace, rimErrors, type StackTarget } from './rigid.ts';
import type { JointThickness } from './types.ts';

/** How a rim ends against the finished surface. Metres, + = proud. */
export interface RoundTheRim {
  /** At 12, 3, 6 and 9 o'clock looking up-station. */
  clocks: [twelve: number, three: number, six: number, nine: number];
  /** The largest error by size, wherever it lies, and its azimuth. */
  worst: { error: number; azimuth: number };
}

/** Exact rim errors of a stack at the four clocks, and the worst all round. `bearing`: azimuth of 12 o'clock. */
export function roundTheRim(
  target: StackTarget,
  rings: readonly RingInPlace[],
  { joint, bearing }: { joint: JointThickness; bearing: number },
): RoundTheRim {
  const [n, e, s, w] = rimErrors(target, rings, joint, 4);
  const [centre, east, north] = [(n + e + s + w) / 4, (e - w) / 2, (n - s) / 2];
  const at = (azimuth: number) => centre + east * Math.sin(azimuth) + north * Math.cos(azimuth);
  const high = Math.atan2(east, north);
  const azimuth = normaliseAzimuth(centre < 0 ? high + Math.PI : high);
  const quarter = Math.PI / 2;
  return {
    clocks: [at(bearing), at(bearing + quarter), at(bearing + 2 * quarter), at(bearing + 3 * quarter)],
    worst: { error: at(azimuth), azimuth },
  };
}
