import type { PlacedRing, Residual, SolvedStack } from '../stack/types.ts';
import type { FinishedGrade, Gradient } from '../surface/types.ts';
import type { StageElevation, StageOfWork } from '../treatment/types.ts';

/** What planning can say of a cover. The field's own states follow in shared/status.ts. */
export type PlanningStatus = 'unsurveyed' | 'remeasure' | 'review' | 'rebuild' | 'lower' | 'raise' | 'leave';

/** State of what is there, as the register or an inspection has it. Unknown is null, never false. */
export interface Condition {
  /** false: not found or its identity is doubtful. */
  located: boolean | null;
  /** Seat or chimney broken, cracked or leaking. */
  chimneyUnsound: boolean | null;
  /** Frame cracked, rocking or of the wrong class. */
  frameUnsound: boolean | null;
}

/** A cover as the computation sees it. Lengths in metres, angles in radians. */
export interface Cover {
  id: string;
  kind: string;
  /** Register point = centre of the seat, in the project's grid. */
  east: number;
  north: number;
  /** null where it was never measured: then no stack can be planned. */
  seatElevation: number | null;
  /** Gradient of the seat; [0, 0] where it is level or was not measured. */
  seatGradient: Gradient;
  rimElevation: number | null;
  /** Height of the frame along its own axis. */
  frameHeight: number;
  rimRadius: number;
  /** Azimuth up-station; null where unknown. */
  roadBearing: number | null;
  /** How far below the finished surface the rim is wanted. */
  setDown: number;
  /** `telescoping`: a screw or slide top (valve boxes) that takes no rings. */
  adjustment: 'rings' | 'telescoping';
  condition: Condition;
}

/** The overlay as far as it decides: depth milled off and clearance the mill needs over a rim. */
export interface Treatment {
  millDepth: number;
  millClearance: number;
  /** Greatest raise for which a riser may be set in the frame; 0 = risers not allowed. */
  maxRiser: number;
}

/** One reason of a decision: a code and its figures (metres, radians), worded by core/decision/words.ts. */
export interface Reason {
  code: string;
  values: Record<string, number | string>;
}

export interface RunnerUp extends SolvedStack {
  allowance: Allowance;
}

/** `met`: worst rim error + 2 sigma is within the tolerance. `off`: no survey allowance was asked for. */
export type Allowance = 'met' | 'notMet' | 'off';

/** The surface that a finished grade came from. */
export interface PlanSource extends StageOfWork {
  from: 'survey' | 'design' | 'treatment';
  /** Ids of the project's surfaces; several where they were fitted together. */
  surfaces: string[];
  /** Id of the treatment zone that the cover is in; null for none. */
  zone: string | null;
}

/** The outcome for one cover; what the plan command prints and a plan row stores. Lengths in metres. */
export interface CoverPlan {
  status: PlanningStatus;
  reasons: Reason[];
  finished: FinishedGrade | null;
  /**
   * Finished elevation - set-down - seat - H / cos(tilt), at the seat's centre; null for `unsurveyed` and where the seat
   * was never measured.
   */
  netBuildup: number | null;
  /** Rim now minus (finished elevation - set-down) at the centre, + = proud; null where either is unknown. */
  rimError: number | null;
  stack: PlacedRing[];
  residual: Residual | null;
  allowance: Allowance;
  runnerUp: RunnerUp | null;
  /** Pressed thickness of the thick rope that the stack's joints count at bottom and top; absent for none. */
  thickRope?: number;
  /** Absent in a plan without a project and where there is no finished grade. */
  source?: PlanSource;
  /** The surface over the cover's centre at each stage of the work, lowest first; absent where it is not known. */
  stageElevations?: StageElevation[];
}
