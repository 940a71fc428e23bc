import { median } from '../../surface/robust.ts';
import { NearestPlaces } from '../nearest.ts';
import { type CheckShot, type CheckUnits, type Finding, listNames, nameOf } from './types.ts';

/** Elevations that programs write for "none"; whether one is meant so is told by the shots around it. */
const marks: ReadonlySet<number> = new Set([
  0, -99, -999, -9999, -99999, -999999, 999, 9999, 99999, 999999, -32768, -32767, 32767,
]);
/** No place on land is so high or low, in feet or metres. */
const beyondEarth = 40_000;

/** Whether an elevation may stand for "none", before its neighbours are asked. */
export const couldBeNone = (z: number): boolean => marks.has(z) || Math.abs(z) > beyondEarth;

export interface NoElevationLimits {
  /** Neighbours that a suspect is held against. */
  neighbours: number;
  /** So many robust spreads of the neighbours away is far. */
  spreads: number;
  /** Metres; less than this is never far. */
  least: number;
  /** Rise over run from the neighbours; less steep is never far. */
  slope: number;
}

/** Common practice, no source. */
export const noElevationLimits: NoElevationLimits = { neighbours: 8, spreads: 6, least: 1, slope: 0.3 };

/**
 * Elevations that stand for "none": -999 and its like, and 0 where the ground round it is nowhere near. A waterfront
 * has real zeros, so the value alone decides nothing.
 */
export function findNoElevations(
  shots: readonly CheckShot[],
  units: CheckUnits,
  limits = noElevationLimits,
): Finding[] {
  const withValue = shots.filter(({ elevation }) => !Number.isNaN(elevation));
  const suspects = withValue.filter(({ elevation }) => couldBeNone(elevation));
  const findings: Finding[] = [];
  const blank = shots.filter(({ elevation }) => Number.isNaN(elevation));
  if (blank.length > 0) findings.push(say(blank, 'noElevation', 'a blank elevation is missing, not 0'));
  if (suspects.length === 0) return findings;
  const [first] = suspects;
  if (suspects.length === withValue.length && suspects.every((s) => s.elevation === first.elevation)) {
    const rule = 'the same on every shot, so it stands for "none"';
    return [...findings, say(suspects, first.elevation === 0 ? 'allZero' : 'sentinel', rule)];
  }
  const tree = new NearestPlaces(
    Float64Array.from(withValue, (s) => s.east),
    Float64Array.from(withValue, (s) => s.north),
  );
  const far = suspects.filter((shot) => isFar(shot, { withValue, tree, units, limits }));
  for (const code of ['sentinel', 'falseZero'] as const) {
    const some = far.filter(({ elevation }) => (elevation === 0) === (code === 'falseZero'));
    const rule = `far from its ${limits.neighbours} nearest shots: more than ${limits.spreads} spreads, ${limits.least} m and a slope of ${limits.slope} away, so it stands for "none"`;
    if (some.length > 0) findings.push(say(some, code, rule));
  }
  return findings;
}

interface Around {
  withValue: readonly CheckShot[];
  tree: NearestPlaces;
  units: CheckUnits;
  limits: NoElevationLimits;
}

function isFar(shot: CheckShot, { withValue, tree, units, limits }: Around): boolean {
  if (Math.abs(shot.elevation) > beyondEarth) return true;
  const near = tree
    .nearest(shot.east, shot.north, limits.neighbours, (i) => !couldBeNone(withValue[i].elevation))
    .map((i) => withValue[i]);
  if (near.length === 0) return shot.elevation !== 0;
  const middle = median(near.map(({ elevation }) => elevation));
  const spread = 1.4826 * median(near.map(({ elevation }) => Math.abs(elevation - middle)));
  const reach = median(near.map(({ east, north }) => Math.hypot(east - shot.east, north - shot.north)));
  const apart = Math.abs(shot.elevation - middle) * units.elevationMetresPerUnit;
  return (
    apart > limits.spreads * spread * units.elevationMetresPerUnit &&
    apart > limits.least &&
    apart > limits.slope * reach * units.metresPerUnit
  );
}

function say(shots: readonly CheckShot[], code: string, rule: string): Finding {
  const named = listNames(
    shots.map((shot) =>
      Number.isNaN(shot.elevation) ? nameOf(shot) : `${nameOf(shot)} (${shot.elevation})`,
    ),
  );
  const count = shots.length === 1 ? '1 shot is' : `${shots.length} shots are`;
  return {
    code,
    points: shots.map(nameOf),
    rows: shots.map(({ row }) => row),
    values: shots.map(({ elevation }) => elevation).filter((z) => !Number.isNaN(z)),
    message: `${count} set aside and not part of the surface: ${named}`,
    rule,
    setAside: true,
  };
}
