import type { Gradient } from '../surface/types.ts';
import type { JointThickness, Residual } from './types.ts';

/** What a stack has to reach, seen from the seat's centre. Lengths in metres, angles in radians. */
export interface StackTarget {
  /** Finished elevation - set-down - seat elevation, at the seat's centre. */
  rise: number;
  /** Gradient of the finished surface. */
  gradient: Gradient;
  seatGradient: Gradient;
  /** Height of the frame along its own axis. */
  frameHeight: number;
  rimRadius: number;
  /** Azimuth of a tapered ring's first mark. */
  markBearing: number;
  tolerance: number;
  /** Twice the survey's sigma at the rim; 0 when the allowance is off. */
  allowance: number;
}

/** A ring as the composition needs it: thin and thick edge, outer diameter, azimuth of the thick side. */
export interface RingInPlace {
  thin: number;
  thick: number;
  outerDiameter: number;
  azimuth: number;
}

/**
 * Net buildup: what rings and joints together have to make up at the seat's centre, in metres.
 * The frame's top plane passes H / cos(tilt) above its base there, so the frame is deducted along its own axis.
 */
export function netBuildup(target: StackTarget): number {
  const [a, b] = target.gradient;
  return target.rise - target.frameHeight * Math.sqrt(1 + a * a + b * b);
}

/**
 * Position and attitude of the part being stacked: origin on the axis over the seat's centre, and the axes of
 * the part: x and y lie in its plane (grid east and north carried over with least turn), n is its normal.
 */
class Pose {
  oe = 0;
  on = 0;
  ou = 0;
  xe = 1;
  xn = 0;
  xu = 0;
  ye = 0;
  yn = 1;
  yu = 0;
  ne = 0;
  nn = 0;
  nu = 1;

  /** Lay the pose on a seat of the given gradient, at the origin. */
  seat(gradient: Gradient): void {
    const a = gradient[0];
    const b = gradient[1];
    const nu = 1 / Math.sqrt(1 + a * a + b * b);
    const ne = -a * nu;
    const nn = -b * nu;
    // Rodrigues' rotation that takes the vertical to n about their common perpendicular.
    const f = 1 / (1 + nu);
    this.oe = this.on = this.ou = 0;
    this.xe = 1 - ne * ne * f;
    this.xn = -ne * nn * f;
    this.xu = -ne;
    this.ye = this.xn;
    this.yn = 1 - nn * nn * f;
    this.yu = -nn;
    this.ne = ne;
    this.nn = nn;
    this.nu = nu;
  }

  rise(height: number): void {
    this.oe += this.ne * height;
    this.on += this.nn * height;
    this.ou += this.nu * height;
  }

  /** Tilt so that the in-plane direction `azimuth` goes up by atan(slope). */
  tilt(slope: number, azimuth: number): void {
    const cos = 1 / Math.sqrt(1 + slope * slope);
    const sin = slope * cos;
    const s = Math.sin(azimuth);
    const c = Math.cos(azimuth);
    const { xe, xn, xu, ye, yn, yu, ne, nn, nu } = this;
    // d points to the thick side, p is perpendicular to it in the plane and stays where it is.
    const de = xe * s + ye * c;
    const dn = xn * s + yn * c;
    const du = xu * s + yu * c;
    const pe = xe * c - ye * s;
    const pn = xn * c - yn * s;
    const pu = xu * c - yu * s;
    const he = de * cos + ne * sin;
    const hn = dn * cos + nn * sin;
    const hu = du * cos + nu * sin;
    this.ne = ne * cos - de * sin;
    this.nn = nn * cos - dn * sin;
    this.nu = nu * cos - du * sin;
    this.xe = he * s + pe * c;
    this.xn = hn * s + pn * c;
    this.xu = hu * s + pu * c;
    this.ye = he * c - pe * s;
    this.yn = hn * c - pn * s;
    this.yu = hu * c - pu * s;
  }
}

const pose = new Pose();

/**
 * Exact rigid-body composition of a stack on its seat, and how far its frame's top plane then lies from the
 * finished surface all round the rim. Rings bottom-up; every part stands normal to what it stands on.
 * The rim is a circle in the frame's own plane, so its error is centre + A sin + B cos, exactly.
 */
export function composeStack(
  target: StackTarget,
  rings: readonly RingInPlace[],
  joint: JointThickness,
): Residual & { topGradient: Gradient; chimney: number } {
  const { centre, sway, chimney } = poseStack(target, rings, joint);
  const [a, b] = target.gradient;
  const topGradient: Gradient = [-pose.ne / pose.nu, -pose.nn / pose.nu];
  return {
    worst: Math.abs(centre) + sway,
    centre,
    tilt: target.rimRadius * Math.hypot(topGradient[0] - a, topGradient[1] - b),
    topGradient,
    chimney,
  };
}

/** What a search asks of a composed stack. Metres. */
export interface PosedStack {
  /** Error at the frame's axis. */
  centre: number;
  /** What the tilt adds to it at the worst point of the rim. */
  sway: number;
  chimney: number;
}

/** Written over by every call: a search composes some forty stacks at each cover. */
const posed: PosedStack = { centre: 0, sway: 0, chimney: 0 };

/** `composeStack` without what only the chosen stack is asked for. The answer is good until the next call. */
export function poseStack(
  target: StackTarget,
  rings: readonly RingInPlace[],
  joint: JointThickness,
): Readonly<PosedStack> {
  pose.seat(target.seatGradient);
  pose.rise(joint.base);
  let chimney = joint.base;
  for (let i = 0; i < rings.length; i++) {
    const ring = rings[i];
    const mean = (ring.thin + ring.thick) / 2;
    const above = i === rings.length - 1 ? joint.top : joint.between;
    pose.rise(mean);
    if (ring.thick > ring.thin) pose.tilt((ring.thick - ring.thin) / ring.outerDiameter, ring.azimuth);
    pose.rise(above);
    chimney += mean + above;
  }
  pose.rise(target.frameHeight);
  const a = target.gradient[0];
  const b = target.gradient[1];
  const x = pose.xu - a * pose.xe - b * pose.xn;
  const y = pose.yu - a * pose.ye - b * pose.yn;
  posed.centre = pose.ou - target.rise - a * pose.oe - b * pose.on;
  posed.sway = target.rimRadius * Math.sqrt(x * x + y * y);
  posed.chimney = chimney;
  return posed;
}

/**
 * Signed rim errors at `count` clock positions, + = proud; index 0 lies at grid north and azimuths run clockwise.
 */
export function rimErrors(
  target: StackTarget,
  rings: readonly RingInPlace[],
  joint: JointThickness,
  count = 24,
): number[] {
  const { centre } = poseStack(target, rings, joint);
  const [a, b] = target.gradient;
  const x = pose.xu - a * pose.xe - b * pose.xn;
  const y = pose.yu - a * pose.ye - b * pose.yn;
  return Array.from({ length: count }, (_, i) => {
    const angle = (2 * Math.PI * i) / count;
    return centre + target.rimRadius * (x * Math.sin(angle) + y * Math.cos(angle));
  });
}
