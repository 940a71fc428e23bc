import { gradientFromRoad } from '../units/slope.ts';
import type { FinishedGrade } from './types.ts';

/** A finished surface told in the road's own terms. Lengths in metres, slopes as ratios, bearing in radians. */
export interface RoadGrade {
  /** Elevation of the finished surface over the cover's register point. */
  elevation: number;
  /** Rise along the bearing, up-station. */
  grade: number;
  /** Rise to the right, looking up-station. */
  crossSlope: number;
  /** Azimuth up-station, clockwise from grid north. */
  bearing: number;
  /** Standard deviation of the elevation and of each slope; 0 for a design figure. */
  sigma: number;
  sigmaSlope: number;
  source: string;
}

/** Finished grade from grade, cross slope and bearing: a = g sin(b) + x cos(b), b = g cos(b) - x sin(b). */
export function finishedFromRoad(road: RoadGrade, rimRadius: number): FinishedGrade {
  return {
    elevation: road.elevation,
    gradient: gradientFromRoad(road, road.bearing),
    sigma: road.sigma,
    sigmaRim: Math.hypot(road.sigma, rimRadius * road.sigmaSlope),
    method: 'gradeAndCrossSlope',
    surface: road.source,
    shotsUsed: 0,
    points: [],
    rejected: [],
    reach: 0,
    nearest: 0,
    breakLine: null,
    unitVariance: 1,
    misfit: 0,
  };
}
