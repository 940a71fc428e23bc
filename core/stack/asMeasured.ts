import { rimErrorAt, rimErrorFrom } from '../drawing/rim.ts';
import type { RoundTheClock } from '../field/facts.ts';
import { type RingInPlace, rimErrors, type StackTarget } from './rigid.ts';
import type { JointThickness } from './types.ts';

/** A rim that was checked on a stack whose rings are known. Metres, + = proud; radians. */
export interface CheckedRim {
  /** Rim minus target at 12, 3, 6 and 9 o'clock. */
  errors: RoundTheClock<number>;
  /** Azimuth of 12 o'clock. */
  bearing: number;
  /** Rings in place, bottom-up, and their joints. */
  rings: readonly RingInPlace[];
  joint: JointThickness;
  /** Standard deviation of one error. */
  sigma: number;
  /** Checked against the finished surface itself: what the survey does not know of it no longer matters. */
  isOnSurface: boolean;
}

export interface SeenTarget {
  /** The target with the seat where the rim shows it to be. */
  target: StackTarget;
  /** At the four clocks, what the stack should have come to on the seat as planned. */
  expected: RoundTheClock<number>;
  /** How much higher the seat (or what lies in the joints) is at its centre than was planned. */
  seatHigher: number;
  /** Change of the seat's gradient along the road and to its right. */
  seatTilt: { up: number; right: number };
}

/** Of the plane through four shots at the rim, over that of one: var/4 at the centre, var/2 for the tilt under it. */
const planeOverShot = Math.sqrt(3 / 4);

/**
 * What a rim off grade says of the seat under it. The rings are known and rigid, so whatever the rim was measured beyond
 * what they should have come to is the height and tilt of the seat, or of what lies in the joints: the two cannot be told
 * apart, and it is the same for a stack on the same seat. Solved until the composed stack gives the measured plane again.
 */
export function targetAsMeasured(planned: StackTarget, rim: CheckedRim): SeenTarget {
  const measured = planeOf(rim);
  let { rise } = planned;
  let [east, north] = planned.seatGradient;
  for (let step = 0; step < 6; step += 1) {
    const now = rimErrorFrom(
      rimErrors({ ...planned, rise, seatGradient: [east, north] }, rim.rings, rim.joint, 4),
    );
    rise -= measured.centre - now.centre;
    east += (measured.east - now.east) / planned.rimRadius;
    north += (measured.north - now.north) / planned.rimRadius;
  }
  const before = rimErrorFrom(rimErrors(planned, rim.rings, rim.joint, 4));
  const at = (quarter: number) => rimErrorAt(before, rim.bearing + (quarter * Math.PI) / 2);
  const [dEast, dNorth] = [east - planned.seatGradient[0], north - planned.seatGradient[1]];
  const [sin, cos] = [Math.sin(rim.bearing), Math.cos(rim.bearing)];
  const ofRim = 2 * planeOverShot * rim.sigma;
  return {
    target: {
      ...planned,
      rise,
      seatGradient: [east, north],
      allowance: rim.isOnSurface ? ofRim : Math.hypot(ofRim, planned.allowance),
    },
    expected: [at(0), at(1), at(2), at(3)],
    seatHigher: planned.rise - rise,
    seatTilt: { up: dEast * sin + dNorth * cos, right: dEast * cos - dNorth * sin },
  };
}

/** The plane through the four errors in grid axes; what they differ from a plane by is left out. */
function planeOf({ errors: [twelve, three, six, nine], bearing }: CheckedRim) {
  const [up, right] = [(twelve - six) / 2, (three - nine) / 2];
  const [sin, cos] = [Math.sin(bearing), Math.cos(bearing)];
  return {
    centre: (twelve + three + six + nine) / 4,
    east: up * sin + right * cos,
    north: up * cos - right * sin,
  };
}
