import type { Gradient } from '../surface/types.ts';

/** One adjustment ring of a catalogue. Lengths in metres. `thin` = `thick` is a flat ring. */
export interface Ring {
  id: string;
  thin: number;
  thick: number;
  outerDiameter: number;
  maxPerStack: number;
  /** Price of one, in the agency's currency; null where the catalogue gives none. */
  cost: number | null;
  /** Kilograms; null or absent where the catalogue gives none. No stack depends on it. */
  mass?: number | null;
}

/** Compressed thickness of the sealed joints: n rings have base + (n - 1) x between + top; no ring has base. */
export interface JointThickness {
  base: number;
  between: number;
  top: number;
}

export interface RingCatalogue {
  /** The unit people of this catalogue read: inches or millimetres. Values inside are metres all the same. */
  unit: 'in' | 'mm';
  rings: Ring[];
  /** Equally spaced marks that a thick side may point to; 0 = any angle. */
  indexPositions: number;
  /** Where the first mark points: up-station along the road's bearing, or grid north. */
  indexFrom: 'road' | 'north';
  maxRings: number;
  /** Greatest chimney height, seat to underside of frame, joints included. */
  maxChimney: number;
  joint: JointThickness;
  /** Pressed thickness of a vacuum test's thick rope where `joint` counts it at bottom and top; absent for none. */
  thickRope?: number;
}

export type Objective = 'fewest' | 'closest' | 'cheapest';

/** A ring in place. Stacks are listed bottom-up: flat rings first, tapered rings last, under the frame. */
export interface PlacedRing {
  ring: string;
  /** Azimuth of the thick side; null for a flat ring. */
  azimuth: number | null;
}

/** How far the top plane of the frame lies from the finished surface, + = proud. Metres. */
export interface Residual {
  /** Largest absolute rim error, at least 0, without the survey allowance. */
  worst: number;
  /** Error at the frame's axis. */
  centre: number;
  /** Gradient error times rim radius, at least 0. */
  tilt: number;
}

export interface SolvedStack {
  stack: PlacedRing[];
  residual: Residual;
  /** Seat to underside of frame, joints included. */
  chimney: number;
  /** Gradient of the frame's top plane as built. */
  topGradient: Gradient;
}
