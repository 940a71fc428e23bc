import type { Place } from '../surface/nearShots.ts';
import { fitPlane } from '../surface/plane.ts';
import type { Survey } from '../surface/survey.ts';
import type { FinishedGrade } from '../surface/types.ts';

/** How a rim lies against the finished surface, less the set-down; + = proud. Metres. */
export interface RimAgainstGrade {
  centre: number;
  /** Largest absolute error round the rim; null where the rim's tilt is not known. */
  worst: number | null;
  /** Rim shots it comes from; 0 = the register's one elevation. */
  shots: number;
}

/** Rim shots farther outside the rim than this belong to something else. */
const strayDistance = 0.15;

/**
 * Lay the rim against the finished surface: from three or more rim shots with their tilt, else from one rim shot
 * or the register's elevation, which says nothing of the tilt. Null where there is neither.
 */
export function rimAgainstGrade(
  survey: Survey,
  place: Place,
  {
    finished,
    rimElevation,
    setDown,
  }: { finished: FinishedGrade; rimElevation: number | null; setDown: number },
): RimAgainstGrade | null {
  const [a, b] = finished.gradient;
  const level = finished.elevation - setDown;
  const found: number[] = [];
  survey.rims.grid.within(place.east, place.north, place.rimRadius + strayDistance, found);
  // In the survey's order, so that a part of a survey gives the same figures to the last digit.
  const { east, north, elevation } = survey.rims.shots;
  const points = found
    .sort((a, b) => a - b)
    .map((i) => ({ x: east[i] - place.east, y: north[i] - place.north, z: elevation[i] - level }));
  const plane = showsTilt(points, place.rimRadius) ? fitPlane(points) : null;
  if (plane) {
    const tilt = Math.hypot(plane.east - a, plane.north - b) * place.rimRadius;
    return { centre: plane.intercept, worst: Math.abs(plane.intercept) + tilt, shots: points.length };
  }
  if (points.length > 0) {
    const errors = points.map((p) => p.z - a * p.x - b * p.y);
    return { centre: errors.reduce((s, e) => s + e, 0) / errors.length, worst: null, shots: points.length };
  }
  return rimElevation === null ? null : { centre: rimElevation - level, worst: null, shots: 0 };
}

/**
 * Do the shots stand so that they show the rim's tilt both ways? The widest triangle among them has to be a third of
 * the largest that fits into the rim, 3 sqrt(3) / 4 r^2: two shots on one spot and a third across say nothing sideways.
 */
function showsTilt(points: readonly { x: number; y: number }[], radius: number): boolean {
  let widest = 0;
  for (const a of points)
    for (const b of points)
      for (const c of points)
        widest = Math.max(widest, ((b.x - a.x) * (c.y - a.y) - (c.x - a.x) * (b.y - a.y)) / 2);
  return widest > (Math.sqrt(3) / 4) * radius * radius;
}
