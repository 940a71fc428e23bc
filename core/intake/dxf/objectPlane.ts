import type { RawPosition } from '../types.ts';

type Vector = readonly [number, number, number];

const cross = (a: Vector, b: Vector): Vector => [
  a[1] * b[2] - a[2] * b[1],
  a[2] * b[0] - a[0] * b[2],
  a[0] * b[1] - a[1] * b[0],
];

const unit = (v: Vector): Vector => {
  const length = Math.hypot(...v);
  return [v[0] / length, v[1] / length, v[2] / length];
};

/**
 * From the plane that a flat entity lies in to the drawing: its extrusion direction is the plane's normal, and the
 * axes follow the arbitrary axis algorithm of the published DXF reference. Null where the plane is the drawing's own.
 */
export function objectPlane(
  normal: Vector,
): ((x: number, y: number, z: number | null) => RawPosition) | null {
  if ((normal[0] === 0 && normal[1] === 0 && normal[2] > 0) || Math.hypot(...normal) === 0) return null;
  const n = unit(normal);
  const nearZ = Math.abs(n[0]) < 1 / 64 && Math.abs(n[1]) < 1 / 64;
  const right = unit(cross(nearZ ? [0, 1, 0] : [0, 0, 1], n));
  const up = unit(cross(n, right));
  return (x, y, z) => {
    const level = z ?? 0;
    const at = (k: 0 | 1 | 2) => x * right[k] + y * up[k] + level * n[k];
    return [at(0), at(1), z === null && nearZ ? null : at(2)];
  };
}
