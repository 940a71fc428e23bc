import { median } from '../../surface/robust.ts';
import { metresPer } from '../../units/length.ts';
import { type Finding, listNames, plain } from './types.ts';

/** A rim elevation of the register, and where it is. Metres. */
export interface RegisterRim {
  id: string;
  east: number;
  north: number;
  elevation: number;
}

/** A shot taken on a rim. Metres. */
export interface RimShot {
  point: string;
  row: number;
  east: number;
  north: number;
  elevation: number;
}

export interface RegisterLimits {
  /** Metres between a register place and its rim shot. */
  reach: number;
  /** Metres between them where the shot carries the structure's own name. */
  reachByName: number;
  /** Metres; a smaller median difference is no datum fault. Common practice, no source. */
  offset: number;
  /** Fewer pairs than this say nothing of the whole. */
  pairs: number;
}

export const registerLimits: RegisterLimits = { reach: 1, reachByName: 25, offset: 0.03, pairs: 3 };

export interface RimPair {
  rim: RegisterRim;
  /** With the middle elevation of all shots on that rim. */
  shot: RimShot;
  /** Shot - register, metres. */
  difference: number;
}

export interface RimComparison {
  pairs: number;
  /** Metres; null without pairs. */
  median: number | null;
  /** Robust standard deviation, metres. */
  spread: number | null;
  /** Shot over register, where all rims are off by the factor of a mistaken unit. */
  factor: number | null;
  findings: Finding[];
}

/** Factors by which elevations are off when one unit was taken for another. */
const mistakes = [
  {
    factor: 1 / metresPer.ft,
    words: 'the register is in metres where feet were read, or the shots in feet where metres were',
  },
  {
    factor: metresPer.ft,
    words: 'the register is in feet where metres were read, or the shots in metres where feet were',
  },
  {
    factor: metresPer['us-ft'] / metresPer.ft,
    words: 'one of them is in US survey feet and was read as international feet',
  },
  {
    factor: metresPer.ft / metresPer['us-ft'],
    words: 'one of them is in international feet and was read as US survey feet',
  },
];

/**
 * Register rims against surveyed rims: a datum or unit fault shows as one constant or one factor for all, a wrong rim
 * as an odd one out. Difference = shot - register.
 */
export function compareRims(
  rims: readonly RegisterRim[],
  shots: readonly RimShot[],
  limits = registerLimits,
): RimComparison {
  const pairs = pairRims(rims, shots, limits);
  if (pairs.length === 0) return { pairs: 0, median: null, spread: null, factor: null, findings: [] };
  const differences = pairs.map(({ difference }) => difference);
  const middle = median(differences);
  const spread = spreadOf(differences, middle);
  const findings: Finding[] = [];
  let factor: number | null = null;
  if (pairs.length >= limits.pairs) {
    const shared = sharedFault(pairs, { middle, spread, limits });
    if (shared) findings.push(shared.finding);
    factor = shared?.factor ?? null;
    // Under a mistaken unit every rim is off by its own amount; none of them is the odd one.
    if (factor === null) findings.push(...oddOnes(pairs, { middle, spread, limits }));
  }
  return { pairs: pairs.length, median: middle, spread, factor, findings };
}

/**
 * Each rim with the shots on it: those that carry its name, else those within reach of its place. Several shots on one
 * rim count as their middle, since a lid bulges and has pick holes.
 */
export function pairRims(
  rims: readonly RegisterRim[],
  shots: readonly RimShot[],
  { reach, reachByName }: Pick<RegisterLimits, 'reach' | 'reachByName'> = registerLimits,
): RimPair[] {
  const cell = (east: number, north: number): string =>
    `${Math.floor(east / reach)} ${Math.floor(north / reach)}`;
  const byCell = Map.groupBy(shots, ({ east, north }) => cell(east, north));
  const byName = Map.groupBy(shots, ({ point }) => nameKey(point));
  const pairs: RimPair[] = [];
  for (const rim of rims) {
    const within = (found: readonly RimShot[], most: number) =>
      found.filter((shot) => Math.hypot(shot.east - rim.east, shot.north - rim.north) <= most);
    const near: RimShot[] = [];
    for (const de of [-reach, 0, reach])
      for (const dn of [-reach, 0, reach])
        near.push(...(byCell.get(cell(rim.east + de, rim.north + dn)) ?? []));
    const named = within(byName.get(nameKey(rim.id)) ?? [], reachByName);
    const found = named.length > 0 ? named : within(near, reach);
    if (found.length === 0) continue;
    const elevation = median(found.map((shot) => shot.elevation));
    pairs.push({ rim, shot: { ...found[0], elevation }, difference: elevation - rim.elevation });
  }
  return pairs;
}

const nameKey = (name: string): string => name.trim().toLowerCase();

const spreadOf = (values: readonly number[], middle: number): number =>
  1.4826 * median(values.map((value) => Math.abs(value - middle)));

interface Whole {
  middle: number;
  spread: number;
  limits: RegisterLimits;
}

function sharedFault(
  pairs: readonly RimPair[],
  { middle, spread, limits }: Whole,
): { finding: Finding; factor: number | null } | null {
  if (Math.abs(middle) <= Math.max(limits.offset, (3 * spread) / Math.sqrt(pairs.length))) return null;
  const size = median(pairs.map(({ rim }) => Math.abs(rim.elevation)));
  const mistake = mistakes.find(({ factor }) => {
    const after = pairs.map(({ rim, shot }) => shot.elevation - factor * rim.elevation);
    return Math.abs(median(after)) < Math.max(limits.offset, 0.02 * Math.abs(factor - 1) * size);
  });
  const amount = `${plain(middle)} m (spread ${plain(spread)} m)`;
  const ends = mistake ? 'a factor' : 'a constant';
  const finding: Finding = {
    code: mistake ? 'rimUnit' : 'rimOffset',
    points: pairs.map(({ shot, rim }) => shot.point || rim.id),
    rows: pairs.map(({ shot }) => shot.row),
    values: [middle, spread],
    message: mistake
      ? `${pairs.length} surveyed rims differ from the register by a median of ${amount}: ${mistake.words}`
      : `${pairs.length} surveyed rims differ from the register by a median of ${amount}: another datum, geoid or benchmark, unless all of them were moved since`,
    rule: `${ends} that all rims share is a fault of unit or datum, not of the rims; more than ${limits.offset} m is said`,
    setAside: false,
  };
  return { finding, factor: mistake?.factor ?? null };
}

function oddOnes(pairs: readonly RimPair[], { middle, spread, limits }: Whole): Finding[] {
  const far = Math.max(limits.offset, 6 * spread);
  return pairs
    .filter(({ difference }) => Math.abs(difference - middle) > far)
    .map(({ rim, shot, difference }) => ({
      code: 'rimDiffers',
      points: [rim.id, shot.point],
      rows: [shot.row],
      values: [rim.elevation, shot.elevation],
      message: `${rim.id}: the register has ${plain(rim.elevation)} m, shot ${shot.point} has ${plain(shot.elevation)} m (${plain(difference)} m)`,
      rule: `more than ${plain(far)} m from what the other rims differ by`,
      setAside: false,
    }));
}

/** An as-built elevation and what the plan asked for, metres. */
export interface AsBuilt {
  id: string;
  planned: number;
  built: number;
}

/** As-builts that repeat the plan to the millimetre were copied, not shot: real ones scatter. */
export function findCopiedAsBuilts(asBuilts: readonly AsBuilt[], least = 3): Finding[] {
  // What is rounded to the millimetre is off by half of one at most, and the rounding of floating point.
  const equal = asBuilts.filter(({ planned, built }) => Math.abs(planned - built) <= 0.0005 + 1e-9);
  if (equal.length < least || equal.length < 0.5 * asBuilts.length) return [];
  return [
    {
      code: 'copiedAsBuilts',
      points: equal.map(({ id }) => id),
      rows: [],
      values: equal.map(({ built }) => built),
      message: `${equal.length} of ${asBuilts.length} as-builts equal the plan to the millimetre: ${listNames(equal.map(({ id }) => id))}`,
      rule: 'measured elevations scatter by more than that; ask for the shots',
      setAside: false,
    },
  ];
}
