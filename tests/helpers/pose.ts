import type { RingInPlace, StackTarget } from '#core/stack/rigid.ts';
import type { JointThickness } from '#core/stack/types.ts';

/** Second way to compose a stack: rotation matrices and points, with nothing shared with core but its types. */
type Vector = [number, number, number];
type Matrix = [Vector, Vector, Vector];

const dot = (a: Vector, b: Vector) => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
const times = (m: Matrix, v: Vector): Vector => [dot(m[0], v), dot(m[1], v), dot(m[2], v)];
const column = (m: Matrix, k: number): Vector => [m[0][k], m[1][k], m[2][k]];
const product = (m: Matrix, n: Matrix): Matrix =>
  m.map((row) => [0, 1, 2].map((k) => dot(row, column(n, k)))) as Matrix;

/** Rotation about a unit axis, right-handed. */
function rotation([x, y, z]: Vector, angle: number): Matrix {
  const c = Math.cos(angle);
  const s = Math.sin(angle);
  const t = 1 - c;
  return [
    [t * x * x + c, t * x * y - s * z, t * x * z + s * y],
    [t * x * y + s * z, t * y * y + c, t * y * z - s * x],
    [t * x * z - s * y, t * y * z + s * x, t * z * z + c],
  ];
}

const identity: Matrix = [
  [1, 0, 0],
  [0, 1, 0],
  [0, 0, 1],
];

/** Turn about a level axis so that the direction of this azimuth goes up by `angle`. */
function raise(azimuth: number, angle: number): Matrix {
  return rotation([Math.cos(azimuth), -Math.sin(azimuth), 0], angle);
}

function onSeat([a, b]: readonly [number, number]): Matrix {
  const slope = Math.hypot(a, b);
  return slope === 0 ? identity : raise(Math.atan2(a, b), Math.atan(slope));
}

export interface Pose {
  /** Point of the axis in the frame's top plane, over the seat's centre at the origin. */
  top: Vector;
  turn: Matrix;
}

export function poseOf(target: StackTarget, rings: readonly RingInPlace[], joint: JointThickness): Pose {
  let turn = onSeat(target.seatGradient);
  let top: Vector = [0, 0, 0];
  const up = (height: number) => {
    const n = column(turn, 2);
    top = [top[0] + height * n[0], top[1] + height * n[1], top[2] + height * n[2]];
  };
  up(joint.base);
  rings.forEach((ring, i) => {
    up((ring.thin + ring.thick) / 2);
    const slope = (ring.thick - ring.thin) / ring.outerDiameter;
    turn = product(turn, raise(ring.azimuth, Math.atan(slope)));
    up(i === rings.length - 1 ? joint.top : joint.between);
  });
  up(target.frameHeight);
  return { top, turn };
}

/** Vertical distance of the rim's point at this azimuth over the finished surface. */
export function errorAt(target: StackTarget, { top, turn }: Pose, azimuth: number, radius: number): number {
  const [e, n, u] = times(turn, [radius * Math.sin(azimuth), radius * Math.cos(azimuth), 0]);
  const [a, b] = target.gradient;
  return top[2] + u - target.rise - a * (top[0] + e) - b * (top[1] + n);
}

/** Errors at `count` points of the rim, clockwise from grid north. */
export function sampleRim(
  target: StackTarget,
  rings: readonly RingInPlace[],
  { joint, count = 720 }: { joint: JointThickness; count?: number },
): number[] {
  const pose = poseOf(target, rings, joint);
  return Array.from({ length: count }, (_, i) =>
    errorAt(target, pose, (2 * Math.PI * i) / count, target.rimRadius),
  );
}

/** Normal of the pose: what a height added under it moves along. */
export const normalOf = ({ turn }: Pose): Vector => column(turn, 2);
