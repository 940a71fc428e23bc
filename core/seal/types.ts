/**
 * An agency's table of vacuum tests, as it is printed: draw to `drawInHg`, and the time of the fall from `startInHg` to
 * `endInHg` has to reach a least time that depends on the structure's diameter, its depth, or both.
 */
export interface VacuumTable {
  id: string;
  name: string;
  /** Where it is printed, with its edition; shown beside every verdict. */
  source: string;
  /** `chimney`: tests rings and frame only. No published standard has one: always the agency's own definition. */
  scope: 'structure' | 'chimney';
  diameterUnit: 'in' | 'mm';
  depthUnit: 'ft' | 'm';
  drawInHg: number;
  startInHg: number;
  endInHg: number;
  /** Wait at the start pressure before the clock runs. */
  settleSeconds: number;
  /** `atLeast`: time >= table passes; `longer`: only time > table does. */
  passes: 'atLeast' | 'longer';
  headAt: 'frame' | 'topRing' | 'seat';
  /** null: the table does not say. */
  frameInPlace: boolean | null;
  rows: VacuumRow[];
}

/** Sizes in the units of the table. A row without diameter holds for every diameter, one without depths for every depth. */
export interface VacuumRow {
  diameter: number | null;
  depth: {
    from: number;
    /** Infinity is written null. */
    to: number | null;
    /** Whether the bounds themselves belong to the band, as printed. */
    includesFrom: boolean;
    includesTo: boolean;
  } | null;
  seconds: number;
  /** Added for each unit of depth past `depth.from`; 0 for none. */
  secondsPerDepth: number;
}
