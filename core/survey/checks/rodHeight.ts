import { median } from '../../surface/robust.ts';
import { readCode } from '../codes.ts';
import { NearestPlaces } from '../nearest.ts';
import { findStretches } from './rodSteps.ts';
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
export const mostSearched = 20_000;

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
  const taken = shots.filter(({ elevation, code }) => {
    const { role } = readCode(code);
    return !Number.isNaN(elevation) && role !== 'seat' && role !== 'rim';
  });
  if (taken.length < limits.neighbours + 4 || taken.length > mostSearched) return [];
  const tree = new NearestPlaces(
    Float64Array.from(taken, (s) => s.east),
    Float64Array.from(taken, (s) => s.north),
  );
  const least = limits.least / units.elevationMetresPerUnit;
  // A long run hides in its own neighbourhood: it is told by its two ends, and taken out before the short ones.
  const stretches = findStretches(taken, tree, least).filter(({ from, to }) => to - from + 1 >= longRun);
  const road = stretches.length === 0 ? taken : taken.map((shot) => ({ ...shot }));
  for (const { from, to, jump } of stretches) for (let i = from; i <= to; i++) road[i].elevation -= jump;
  const off = new Uint8Array(road.length);
  const levels = scales
    .filter((scale) => scale * 3 <= road.length)
    .map(
      (scale) =>
        new Level(road, { tree, scale, off, count: limits.neighbours }, { least, spreads: limits.spreads }),
    );
  const runs: Run[] = [...stretches];
  for (let round = 0; round < mostRounds; round++) {
    const candidates = levels.flatMap((level) => level.runs());
    if (candidates.length === 0) break;
    // What is off makes its neighbours look off the other way: the worst goes first, and they are looked at again.
    candidates.sort((a, b) => weight(b) - weight(a) || a.from - b.from);
    const touched = new Set<number>();
    for (const run of candidates) {
      const near = shotsNear(road, tree, run);
      if (near.some((i) => touched.has(i))) continue;
      for (const i of near) touched.add(i);
      runs.push(run);
      off.fill(1, run.from, run.to + 1);
    }
    for (const level of levels) level.lookAgain(touched);
  }
  const found = joined(runs, { least });
  const accused = found.reduce((sum, { from, to }) => sum + to - from + 1, 0);
  const isRough = found.length > mostNamedRuns && accused > mostAccused * road.length;
  return isRough ? [rough(accused, road.length)] : found.map((run) => describe(road, run, limits));
}

/** Where so large a share of the shots stands off, the ground is not smooth enough to accuse any of them. */
const mostAccused = 0.2;
const mostNamedRuns = 10;

function rough(accused: number, count: number): Finding {
  return {
    code: 'notSmooth',
    points: [],
    rows: [],
    values: [],
    message: `${accused} of ${count} shots ${accused === 1 ? 'stands' : 'stand'} off those round them`,
    rule: `above ${100 * mostAccused} % no shot is named: this is no smooth surface, or its codes mix several`,
    setAside: false,
  };
}

/** From this length on a run is looked for by its ends. */
const longRun = 10;
const mostRounds = 40;
const weight = ({ from, to, jump }: Run): number => Math.abs(jump) * (to - from + 1);

/** Shots whose neighbourhood a run may be part of, the run's own among them. */
function shotsNear(road: readonly CheckShot[], tree: NearestPlaces, { from, to }: Run): number[] {
  const near = new Set<number>();
  for (let i = from; i <= to; i++) {
    for (const j of tree.nearest(road[i].east, road[i].north, 60, () => true)) near.add(j);
  }
  return [...near];
}

/** Runs found in parts, one after the other and by one amount, as one. */
function joined(runs: readonly Run[], { least }: { least: number }): Run[] {
  const all: Run[] = [];
  for (const run of [...runs].sort((a, b) => a.from - b.from)) {
    const last = all.at(-1);
    if (
      last &&
      last.to + 1 === run.from &&
      Math.abs(last.jump - run.jump) < Math.max(least, 0.15 * Math.abs(run.jump))
    ) {
      const [a, b] = [last.to - last.from + 1, run.to - run.from + 1];
      last.jump = (a * last.jump + b * run.jump) / (a + b);
      last.to = run.to;
    } else all.push({ ...run });
  }
  return all;
}

interface Search {
  tree: NearestPlaces;
  /** Neighbours within so many places in the file are left out. */
  scale: number;
  /** Shots already found to be off. */
  off: Uint8Array;
  count: number;
}

/** Shots before and after one, in the file, that its own curve of the road is told from. */
const around = 20;

/** Residuals of all shots, with neighbours within `scale` places in the file left out. */
class Level {
  readonly #road: readonly CheckShot[];
  readonly #search: Search;
  readonly #residuals: Float64Array;
  /** A vertical curve lifts all residuals along it alike: they are taken from the median of those round them. */
  readonly #lift: Float64Array;
  readonly #limit: number;

  constructor(
    road: readonly CheckShot[],
    search: Search,
    { least, spreads }: { least: number; spreads: number },
  ) {
    this.#road = road;
    this.#search = search;
    const raw = Float64Array.from(road, (_, i) => residual(road, i, search));
    this.#lift = Float64Array.from(raw, (_, i) => {
      const some = raw.slice(Math.max(0, i - around), i + around + 1).filter((r) => !Number.isNaN(r));
      return some.length === 0 ? 0 : median([...some]);
    });
    this.#residuals = raw.map((r, i) => r - this.#lift[i]);
    const sizes = [...this.#residuals].filter((r) => !Number.isNaN(r)).map(Math.abs);
    this.#limit = Math.max(least, spreads * 1.4826 * (sizes.length === 0 ? 0 : median(sizes)));
  }

  lookAgain(touched: Iterable<number>): void {
    for (const i of touched) this.#residuals[i] = residual(this.#road, i, this.#search) - this.#lift[i];
  }

  runs(): Run[] {
    const { off, scale } = this.#search;
    return runsOf(this.#residuals, { limit: this.#limit, longest: scale, off });
  }
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
  residuals: Float64Array,
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
      const jump = median([...residuals.subarray(from, to + 1)]);
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
