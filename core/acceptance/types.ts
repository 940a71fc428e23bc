/** What an agency accepts a rim by. Lengths in metres; each limit at least 0. */
export interface AcceptancePolicy {
  /** How far the rim may stand above its target. */
  proud: number;
  /** How far it may lie below. */
  low: number;
  /** The straightedge that is laid over cover and mat; null where none is asked for. */
  straightedge: { length: number; along: number; across: number } | null;
  /** Whether a passed vacuum test is asked for. */
  vacuum: boolean;
  /** Rules of accessible routes, for a cover that lies in one. */
  accessible: AccessibleRule;
}

export interface AccessibleRule {
  /** Vertical change of level without a bevel. 1/4 in: PROWAG R302.6.2, 2010 ADA Standards 303.2. */
  vertical: number;
  /** With a bevel no steeper than `bevelSlope`. 1/2 in. */
  bevelled: number;
  /** 1:2 */
  bevelSlope: number;
  /** 1:48, PROWAG R302.5.1. */
  crossSlope: number;
}
