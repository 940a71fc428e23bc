import { median } from '../../surface/robust.ts';
import { readCode } from '../codes.ts';
import { NearestPlaces } from '../nearest.ts';
import { type CheckShot, type CheckUnits, type Finding, listNames, nameOf, plain } from './types.ts';

export interface RodHeightLimits {
  /** So many robust spreads of all residuals is a jump. */
  spreads: number;
  /** Metres; a smaller jump is not told from a crown between two shots. Common practice, no source. */
  least: number;
  /** Nearest shots of the same code that pairs are made of. */
  neighbours: number;
}

export const rodHeightLimits: RodHeightLimits = { spreads: 8, least: 0.08, neighbours: 12 };

/** Runs up to this long are looked for: neighbours closer in the file than the scale are left out. */
const scales = [1, 3, 6, 12];
/** More shots than this are not searched. */
export const mostSearched = 100_000;

interface Run {
  from: number;
  to: number;
  jump: number;
}

/**
 * Runs of shots, one after another in the file, that all stand off the surface of their neighbours by the same amount:
 * what a rod height typed wrong leaves behind. A single shot off is a blunder of its own. Order of shots = order taken.
 */
export function findRodHeights(
  shots: readonly CheckShot[],
  units: CheckUnits,
  limits = rodHeightLimits,
): Finding[] {
  const road = shots.filter(({ elevation, code }) => {
    const { role } = readCode(code);
    return !Number.isNaN(elevation) && role !== 'seat' && role !== 'rim';
  });
  if (road.length < limits.neighbours + 4 || road.length > mostSearched) return [];
  const tree = new NearestPlaces(
    Float64Array.from(road, (s) => s.east),
    Float64Array.from(road, (s) => s.north),
  );
  const least = limits.least / units.elevationMetresPerUnit;
  const off = new Uint8Array(road.length);
  const runs: Run[] = [];
  for (const scale of scales) {
    if (scale * 3 > road.length) break;
    const residuals = road.map((_, i) => residual(road, i, { tree, scale, off, count: limits.neighbours }));
    const spread = 1.4826 * median(residuals.map(Math.abs).filter((r) => !Number.isNaN(r)));
    const found = runsOf(residuals, { limit: Math.max(least, limits.spreads * spread), longest: scale, off });
    for (const run of found) {
      runs.push(run);
      off.fill(1, run.from, run.to + 1);
    }
  }
  return runs.sort((a, b) => a.from - b.from).map((run) => describe(road, run, limits));
}

interface Search {
  tree: NearestPlaces;
  /** Neighbours within so many places in the file are left out. */
  scale: number;
  /** Shots already found to be off. */
  off: Uint8Array;
  count: number;
}

/** Pairs of neighbours whose directions from a shot differ by less than this from opposite ones lie on a line with it. */
const opposite = -Math.cos((15 * Math.PI) / 180);
const mostPairs = 9;

/**
 * Height of a shot over the straight lines between pairs of shots of its own code on either side of it: crown between
 * crown, edge between edge. A plane would take the crown's break for a jump. The median of several pairs is not pulled
 * by one wrong neighbour. NaN where no pair has the shot between it.
 */
function residual(road: readonly CheckShot[], i: number, { tree, scale, off, count }: Search): number {
  const shot = road[i];
  const near = tree.nearest(
    shot.east,
    shot.north,
    count,
    (j) => Math.abs(j - i) >= scale && off[j] === 0 && road[j].code === shot.code,
  );
  const pairs: { span: number; elevation: number }[] = [];
  for (let a = 0; a < near.length; a++) {
    for (let b = a + 1; b < near.length; b++) {
      const [p, q] = [road[near[a]], road[near[b]]];
      const [px, py, qx, qy] = [
        p.east - shot.east,
        p.north - shot.north,
        q.east - shot.east,
        q.north - shot.north,
      ];
      const [toP, toQ] = [Math.hypot(px, py), Math.hypot(qx, qy)];
      if (toP === 0 || toQ === 0 || px * qx + py * qy > opposite * toP * toQ) continue;
      const elevation = (p.elevation * toQ + q.elevation * toP) / (toP + toQ);
      pairs.push({ span: toP + toQ, elevation });
    }
  }
  if (pairs.length === 0) return Number.NaN;
  pairs.sort((a, b) => a.span - b.span);
  return shot.elevation - median(pairs.slice(0, mostPairs).map(({ elevation }) => elevation));
}

/** Maximal runs of like residuals past the limit; longer ones than the scale are left for a larger scale. */
function runsOf(
  residuals: readonly number[],
  { limit, longest, off }: { limit: number; longest: number; off: Uint8Array },
): Run[] {
  const runs: Run[] = [];
  for (let from = 0; from < residuals.length; from++) {
    if (off[from] === 1 || !(Math.abs(residuals[from]) > limit)) continue;
    let to = from;
    const isLike = (i: number): boolean =>
      i < residuals.length &&
      off[i] === 0 &&
      Math.abs(residuals[i]) > limit &&
      Math.abs(residuals[i] - residuals[from]) < Math.max(limit / 2, 0.15 * Math.abs(residuals[from]));
    while (isLike(to + 1)) to++;
    if (to - from + 1 <= longest) {
      const jump = median(residuals.slice(from, to + 1) as number[]);
      runs.push({ from, to, jump });
    }
    from = to;
  }
  return runs;
}

function describe(
  road: readonly CheckShot[],
  { from, to, jump }: Run,
  { spreads, least }: RodHeightLimits,
): Finding {
  const some = road.slice(from, to + 1);
  const side = jump > 0 ? 'above' : 'below';
  const names =
    some.length > 2 ? `${nameOf(some[0])} to ${nameOf(some[some.length - 1])}` : listNames(some.map(nameOf));
  const isRun = some.length > 1;
  return {
    code: isRun ? 'rodHeight' : 'offSurface',
    points: some.map(nameOf),
    rows: some.map(({ row }) => row),
    values: [jump],
    message: isRun
      ? `${some.length} shots one after another (${names}) stand ${plain(Math.abs(jump))} ${side} the shots round them`
      : `${names} stands ${plain(Math.abs(jump))} ${side} the shots round it`,
    rule: `more than ${spreads} spreads of the survey and ${least} m${isRun ? ', by one amount: check the rod height' : ''}`,
    setAside: false,
  };
}
