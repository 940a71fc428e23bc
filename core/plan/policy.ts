import type { Objective } from '../stack/types.ts';
import { defaultDesignLimits } from '../surface/design.ts';

/**
 * Where finished grades come from. `survey`: shots on the finished surface; `design`: design surfaces; `treatment`:
 * the surface there is, less milling, plus lifts; `automatic`: these three in this order, the first that reaches.
 */
export type FinishedFrom = 'automatic' | 'survey' | 'design' | 'treatment';

/**
 * Limits that belong to an agency or a project; these defaults are shown as defaults wherever they are used.
 * Lengths in metres.
 */
export interface Policy {
  /** Rim to finished surface, all round. 1/4 in: common practice, no source. */
  tolerance: number;
  objective: Objective;
  /** A cover with no shot on the surface nearer than this is unsurveyed. */
  shotLimit: number;
  /** Farthest shot that a plane may use when the near ones do not surround the cover. */
  reachLimit: number;
  /** Below which distance two shots are one place, shot twice. */
  sameplace: number;
  /**
   * Standard deviation of one shot; null = the survey's own record, else estimated over the whole survey;
   * 0 = allowance and `remeasure` off.
   */
  shotSigma: number | null;
  /** Steepest finished surface that is believed, rise over run. */
  maxGradient: number;
  finishedFrom: FinishedFrom;
  /** Longest side of a triangle that is believed; a longer one bridges a gap between what was designed or measured. */
  longestSide: number;
  /** Standard deviation of the compacted thickness of one lift; 0 counts the survey alone. */
  liftSigma: number;
  /** A centre line farther away than this gives no road bearing. */
  centreLineLimit: number;
}

export const defaultPolicy: Policy = {
  tolerance: 0.00635,
  objective: 'fewest',
  shotLimit: 6,
  reachLimit: 12,
  sameplace: 0.02,
  shotSigma: null,
  maxGradient: defaultDesignLimits.maxGradient,
  finishedFrom: 'automatic',
  longestSide: defaultDesignLimits.longestSide,
  liftSigma: 0,
  centreLineLimit: 40,
};
