/**
 * Units of everything in core: metres in the project's grid, elevations in metres above its vertical datum,
 * angles in radians, azimuths clockwise from grid north, gradients dimensionless (rise over run).
 */

/** Gradient of a surface: [dz/dE, dz/dN]. Grade, cross slope and azimuth are views of it. */
export type Gradient = readonly [east: number, north: number];

/**
 * What a shot was taken on. `crown` and `gutter` shots lie on a line where the surface bends and belong to both
 * sides; `edge` is the edge of the pavement; `rim` and `seat` are shots on a structure and no surface.
 */
export type ShotRole = 'surface' | 'crown' | 'edge' | 'gutter' | 'rim' | 'seat';

export interface Shot {
  /** Point name as the surveyor wrote it. */
  point: string;
  east: number;
  north: number;
  elevation: number;
  code: string;
  role: ShotRole;
  /** Standard deviation of the elevation from the survey's own record; null where it has none. */
  sigma: number | null;
}

/** A line where the surface bends (crown, gutter) close enough to a cover to matter. */
export interface BreakLine {
  /** `found`: a bend of a design surface, up or down. */
  kind: 'crown' | 'gutter' | 'found';
  /** Least horizontal distance from the cover's centre to the line. */
  distance: number;
  /** Azimuth from the cover's centre to the nearest point of the line. */
  azimuth: number;
}

export type FinishedMethod =
  | 'plane'
  | 'ownSide'
  | 'foundSide'
  | 'compromise'
  | 'design'
  | 'gradeAndCrossSlope'
  | 'tapes';

/** The finished surface at one cover, as a plane about the cover's centre. */
export interface FinishedGrade {
  /** Elevation of the plane over the register point. */
  elevation: number;
  gradient: Gradient;
  /** Standard deviation of `elevation`; 0 when the allowance for survey is off. */
  sigma: number;
  /** Largest standard deviation of the plane round the rim. */
  sigmaRim: number;
  method: FinishedMethod;
  /** Name of the survey or surface it came from. */
  surface: string;
  shotsUsed: number;
  /** Names of the shots the plane was fitted to. */
  points: string[];
  /** Shots left out as blunders; residual = shot minus plane, so + is high. */
  rejected: { point: string; residual: number }[];
  /** Distance of the farthest shot used. */
  reach: number;
  /** Distance of the nearest shot used. */
  nearest: number;
  breakLine: BreakLine | null;
  /** Chi-square per spare observation: 1 where the shots scatter as their sigmas say. */
  unitVariance: number;
  /** Largest departure of the true two-plane surface from a compromise plane at the rim; 0 otherwise. */
  misfit: number;
  /** How far the rim stands out past the shots about it; 0 where they surround it or end at a coded line. Absent: no shots. */
  overhang?: number;
}

/** Why there is no finished grade; each becomes the planning status `unsurveyed`. */
export type NoGrade =
  | { reason: 'noShots'; nearest: number | null; limit: number }
  | { reason: 'tooFewShots'; count: number; limit: number }
  | { reason: 'collinear'; count: number }
  | { reason: 'outsideHull'; distance: number; limit: number }
  | { reason: 'noDesign'; detail: string }
  | { reason: 'noSource'; wanted: string }
  | { reason: 'noTreatment'; surface: string; stage: string }
  | { reason: 'noSuchLift'; surface: string; lift: number }
  | { reason: 'outsideZones'; nearest: number }
  | { reason: 'zonesOverlap'; names: string };
