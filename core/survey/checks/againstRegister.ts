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
  /** Metres; a smaller median difference is no datum fault. Common practice, no source. */
  offset: number;
  /** Fewer pairs than this say nothing of the whole. */
  pairs: number;
}

export const registerLimits: RegisterLimits = { reach: 1, offset: 0.03, pairs: 3 };

interface Pair {
  rim: RegisterRim;
  shot: RimShot;
  difference: number;
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
): { pairs: number; median: number | null; spread: number | null; findings: Finding[] } {
  const pairs = pairUp(rims, shots, limits.reach);
  if (pairs.length === 0) return { pairs: 0, median: null, spread: null, findings: [] };
  const differences = pairs.map(({ difference }) => difference);
  const middle = median(differences);
  const spread = spreadOf(differences, middle);
  const findings: Finding[] = [];
  if (pairs.length >= limits.pairs) {
    const shared = sharedFault(pairs, { middle, spread, limits });
    if (shared) findings.push(shared);
    findings.push(...oddOnes(pairs, { middle, spread, limits }));
  }
  return { pairs: pairs.length, median: middle, spread, findings };
}

function pairUp(rims: readonly RegisterRim[], shots: readonly RimShot[], reach: number): Pair[] {
  const cell = (east: number, north: number): string =>
    `${Math.floor(east / reach)} ${Math.floor(north / reach)}`;
  const byCell = new Map<string, RimShot[]>();
  for (const shot of shots) {
    const key = cell(shot.east, shot.north);
    const others = byCell.get(key);
    if (others) others.push(shot);
    else byCell.set(key, [shot]);
  }
  const pairs: Pair[] = [];
  for (const rim of rims) {
    const near: RimShot[] = [];
    for (const de of [-reach, 0, reach])
      for (const dn of [-reach, 0, reach])
        near.push(...(byCell.get(cell(rim.east + de, rim.north + dn)) ?? []));
    const within = near.filter((s) => Math.hypot(s.east - rim.east, s.north - rim.north) <= reach);
    if (within.length === 0) continue;
    // Several shots on one rim: its middle, since a lid bulges and has pick holes.
    const elevation = median(within.map((s) => s.elevation));
    pairs.push({ rim, shot: { ...within[0], elevation }, difference: elevation - rim.elevation });
  }
  return pairs;
}

const spreadOf = (values: readonly number[], middle: number): number =>
  1.4826 * median(values.map((value) => Math.abs(value - middle)));

interface Whole {
  middle: number;
  spread: number;
  limits: RegisterLimits;
}

function sharedFault(pairs: readonly Pair[], { middle, spread, limits }: Whole): Finding | null {
  if (Math.abs(middle) <= Math.max(limits.offset, (3 * spread) / Math.sqrt(pairs.length))) return null;
  const size = median(pairs.map(({ rim }) => Math.abs(rim.elevation)));
  const mistake = mistakes.find(({ factor }) => {
    const after = pairs.map(({ rim, shot }) => shot.elevation - factor * rim.elevation);
    return Math.abs(median(after)) < Math.max(limits.offset, 0.02 * Math.abs(factor - 1) * size);
  });
  const amount = `${plain(middle)} m (spread ${plain(spread)} m)`;
  const ends = mistake ? 'a factor' : 'a constant';
  return {
    code: mistake ? 'rimUnit' : 'rimOffset',
    points: pairs.map(({ shot, rim }) => shot.point || rim.id),
    rows: pairs.map(({ shot }) => shot.row),
    values: [middle, spread],
    message: mistake
      ? `${pairs.length} surveyed rims differ from the register by a median of ${amount}: ${mistake.words}`
      : `${pairs.length} surveyed rims differ from the register by a median of ${amount}: another datum, geoid or benchmark`,
    rule: `${ends} that all rims share is a fault of unit or datum, not of the rims; more than ${limits.offset} m is said`,
    setAside: false,
  };
}

function oddOnes(pairs: readonly Pair[], { middle, spread, limits }: Whole): Finding[] {
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
  const equal = asBuilts.filter(({ planned, built }) => Math.abs(planned - built) < 0.0005);
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
