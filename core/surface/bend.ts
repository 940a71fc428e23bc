import type { FinishedGrade } from './types.ts';

/**
 * Minimax plane over a surface that bends by `bend` (change of gradient) at `distance` from the centre, within a
 * rim of this radius. Across the line the surface is two straight pieces, and the straight line nearest to them on
 * [-radius, radius] runs parallel to the chord between its ends, half the greatest departure away (Chebyshev).
 * @returns slope and lift to add to the near side's plane, and the greatest departure left.
 */
export function bestPlaneOverBend(bend: number, distance: number, radius: number) {
  const slope = (bend * (radius - distance)) / (2 * radius);
  const greatest = slope * (radius + distance);
  return { slope, lift: slope * radius - greatest / 2, misfit: Math.abs(greatest) / 2 };
}

/** A bend of the surface as the cover sees it: unit vector to the line, distance, change of gradient along it. */
export interface Bend {
  ux: number;
  uy: number;
  distance: number;
  bend: number;
}

/** The best single plane over a line that runs under the rim, from the plane of the cover's own side. */
export function planeOverBend(
  near: FinishedGrade,
  { ux, uy, distance, bend }: Bend,
  radius: number,
): FinishedGrade {
  const { slope, lift, misfit } = bestPlaneOverBend(bend, distance, radius);
  return {
    ...near,
    method: 'compromise',
    elevation: near.elevation + lift,
    gradient: [near.gradient[0] + slope * ux, near.gradient[1] + slope * uy],
    misfit,
  };
}
