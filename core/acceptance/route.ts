import type { RimJudgement } from './rim.ts';
import type { AccessibleRule } from './types.ts';

/** 2010 ADA Standards 303 and 403.3; PROWAG R302.5.1 and R302.6.2. Metres and ratios. */
export const accessibleStandard: AccessibleRule = {
  vertical: 0.25 * 0.0254,
  bevelled: 0.5 * 0.0254,
  bevelSlope: 1 / 2,
  crossSlope: 1 / 48,
};

/** No opening passes a sphere of 1/2 in: 2010 ADA Standards 302.3, PROWAG R302.6.3. */
export const accessibleOpening = 0.5 * 0.0254;

/** What was measured on an accessible route over a cover; null: not measured. */
export interface RouteMeasured {
  /** Vertical step between casting and the surface beside it, the largest, at least 0; metres. */
  levelChange: number | null;
  /** A bevel over that step, metres; null: there is none. What it does not take up of the step is vertical. */
  bevel: { rise: number; run: number } | null;
  /** Rise over run across the way of travel, at least 0. */
  crossSlope: number | null;
  /** Largest sphere that an opening passes, metres. */
  opening: number | null;
}

export interface RouteJudgement {
  /**
   * `needsBevel`: up to the greater limit a step counts with a bevel. `lowBevel`: there is one, and it leaves too much of
   * the step vertical.
   */
  level: 'within' | 'needsBevel' | 'tooSteepBevel' | 'lowBevel' | 'off' | 'notMeasured';
  slope: 'within' | 'off' | 'notMeasured';
  opening: 'within' | 'off' | 'notMeasured';
  isOff: boolean;
  isMeasured: boolean;
  measured: RouteMeasured;
  rule: AccessibleRule;
}

/** Below any that a tape or level shows; 2.1 %, as 1:48 is often printed, is past it by 170 times as much. */
const rounding = 1e-6;

/**
 * The rule of an accessible route: a step up to `vertical` as it is, up to `bevelled` with a bevel no steeper than
 * `bevelSlope` that leaves no more than `vertical` of it (2010 ADA Standards 303.3 and its advisory), past that none (a
 * ramp is another thing); cross slope as a ratio. Openings are said and do not decide where nobody measured them.
 */
export function judgeRoute(measured: RouteMeasured, rule: AccessibleRule): RouteJudgement {
  const level = judgeLevel(measured, rule);
  const slope = judgeMost(measured.crossSlope, rule.crossSlope);
  const opening = judgeMost(measured.opening, accessibleOpening);
  const isLevelOff = level !== 'within' && level !== 'notMeasured';
  return {
    level,
    slope,
    opening,
    isOff: isLevelOff || slope === 'off' || opening === 'off',
    isMeasured: level !== 'notMeasured' && slope !== 'notMeasured',
    measured,
    rule,
  };
}

/** Rise over run. */
export const slopeOf = ({ rise, run }: NonNullable<RouteMeasured['bevel']>): number => rise / run;

function judgeLevel({ levelChange, bevel }: RouteMeasured, rule: AccessibleRule): RouteJudgement['level'] {
  if (levelChange === null) return 'notMeasured';
  if (levelChange <= rule.vertical + rounding) return 'within';
  if (levelChange > rule.bevelled + rounding) return 'off';
  if (bevel === null) return 'needsBevel';
  if (levelChange - bevel.rise > rule.vertical + rounding) return 'lowBevel';
  return slopeOf(bevel) <= rule.bevelSlope + rounding ? 'within' : 'tooSteepBevel';
}

const judgeMost = (value: number | null, most: number) =>
  value === null ? 'notMeasured' : value <= most + rounding ? 'within' : 'off';

/** The largest step at the rim: the surface beside it lies `setDown` over its target. */
export function levelChangeOf({ clocks, plane }: RimJudgement, setDown: number): number {
  const points = plane ? [...clocks, plane.highest, plane.lowest] : clocks;
  return Math.max(...points.map(({ error }) => Math.abs(error - setDown)));
}
