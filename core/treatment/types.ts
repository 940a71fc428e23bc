import type { Treatment } from '../plan/types.ts';

/** Which surface something was measured on, in the order that the work makes them. */
export type SurfaceStage = 'existing' | 'milled' | 'lift' | 'finished';

/** A stage with the lift whose top it is, counted from 1; null where the stage is no lift or nobody said which. */
export interface StageOfWork {
  stage: SurfaceStage;
  lift: number | null;
}

/** What is done to the pavement at a place. Lengths in metres. */
export interface PavingTreatment extends Treatment {
  /** Compacted thickness of each lift, bottom first; [] = nothing is laid; null = nobody said. */
  lifts: readonly number[] | null;
  /** Set-down for covers whose own record asks for none; null = nobody said. */
  setDown: number | null;
}

/** Corners of a closed ring in the project's grid, metres; the last repeats the first. */
export type ZoneRing = readonly (readonly [east: number, north: number])[];

/** Outer ring, then holes. */
export type ZonePolygon = readonly ZoneRing[];

/** A part of the project that gets one treatment. */
export interface TreatmentZone extends PavingTreatment {
  id: string;
  name: string;
  polygons: readonly ZonePolygon[];
  lifts: readonly number[];
}

/** Elevation of one stage of the work over a cover's centre, in metres. */
export interface StageElevation extends StageOfWork {
  elevation: number;
}
