import { fromMetres } from '../units/length.ts';
import type { VacuumRow, VacuumTable } from './types.ts';

/** Sizes of a structure, metres; null where not known. */
export interface VacuumSize {
  diameterM: number | null;
  /** Depth as the table counts it. */
  depthM: number | null;
}

/** Something about the reading of a table that people have to be told; figures in the table's own units. */
export interface VacuumNote {
  code:
    | 'nextDiameter'
    | 'overlap'
    | 'gap'
    | 'aboveBands'
    | 'diameterUnknown'
    | 'depthUnknown'
    | 'diameterPastTable'
    | 'depthPastTable'
    | 'notASize';
  values: Record<string, number>;
}

/** The least time of a structure. Where more than one row could be meant it is the longest. */
export interface RequiredTime {
  seconds: number;
  row: VacuumRow;
  doubts: VacuumNote[];
}

/** A table that has no answer without somebody's word. `longest`: no row that may be meant asks more; null: unbounded. */
export interface VacuumQuestion {
  question: VacuumNote;
  longest: number | null;
}

/**
 * A barrel within this of a printed diameter is of that row: half an inch, half the step to the nearest metric size
 * (1200 mm is another row than 48 in). Common practice, no source.
 */
const sameDiameter = { in: 0.5, mm: 10 } as const;

/** Sizes that differ by less than this, in units of the table, are the same size converted. */
const rounding = 1e-6;

/**
 * The required time by the agency's table. Sizes are converted into the table's units exactly; between two diameters
 * nothing is interpolated, the next greater one counts and that is said. A depth that two bands hold takes the longer
 * time; one between two bands (15 ft where the table prints "< 15" and "> 15") the longer of its neighbours'. What is
 * past the table, or not known, is a question and no time.
 */
export function requiredTime(table: VacuumTable, size: VacuumSize): RequiredTime | VacuumQuestion {
  const diameter = size.diameterM === null ? null : fromMetres(size.diameterM, table.diameterUnit);
  const depth = size.depthM === null ? null : fromMetres(size.depthM, table.depthUnit);
  if (isNoSize(diameter, Number.MIN_VALUE) || isNoSize(depth, 0))
    return ask('notASize', table.rows, { diameter: diameter ?? 0, depth: depth ?? 0 });
  const column = ofDiameter(table, diameter);
  if ('question' in column) return column;
  const { rows, doubts } = column;
  const band = ofDepth(rows, depth);
  if ('question' in band) return band;
  return { ...band, doubts: [...doubts, ...band.doubts] };
}

export const isRequired = (answer: RequiredTime | VacuumQuestion): answer is RequiredTime =>
  'seconds' in answer;

const isNoSize = (value: number | null, least: number) =>
  value !== null && !(Number.isFinite(value) && value >= least);

/** Rows for this diameter: of its own, and those that hold for every one. */
function ofDiameter(
  { rows, diameterUnit }: VacuumTable,
  diameter: number | null,
): { rows: VacuumRow[]; doubts: VacuumNote[] } | VacuumQuestion {
  const sizes = diametersOf(rows);
  if (sizes.length === 0) return { rows, doubts: [] };
  if (diameter === null) return ask('diameterUnknown', rows);
  const own = nearest(sizes, diameter);
  if (Math.abs(own - diameter) <= sameDiameter[diameterUnit]) return { rows: rowsOf(rows, own), doubts: [] };
  const next = sizes.find((size) => size > diameter);
  if (next === undefined) return ask('diameterPastTable', [], { diameter, greatest: sizes.at(-1)! });
  return { rows: rowsOf(rows, next), doubts: [{ code: 'nextDiameter', values: { diameter, next } }] };
}

/** Diameters that a table prints, ascending. */
export const diametersOf = (rows: readonly VacuumRow[]): number[] =>
  [...new Set(rows.flatMap(({ diameter }) => diameter ?? []))].sort((a, b) => a - b);

/** Rows that hold for a printed diameter; null: for every one. */
export const rowsOf = (rows: readonly VacuumRow[], diameter: number | null): VacuumRow[] =>
  rows.filter((row) => row.diameter === null || row.diameter === diameter);

const nearest = (sizes: readonly number[], wanted: number) =>
  sizes.reduce((best, size) => (Math.abs(size - wanted) < Math.abs(best - wanted) ? size : best));

function ofDepth(rows: VacuumRow[], depth: number | null): RequiredTime | VacuumQuestion {
  if (depth === null) {
    if (rows.some(({ depth: band }) => band !== null)) return ask('depthUnknown', rows);
    return longestOf(rows, 0);
  }
  const inBand = rows.filter((row) => placeOf(row, depth) === 0);
  if (inBand.length > 0) return longestOf(inBand, depth);
  const over = rows.filter((row) => placeOf(row, depth) < 0);
  const under = rows.filter((row) => placeOf(row, depth) > 0);
  if (over.length === 0) return ask('depthPastTable', [], { depth, deepest: deepestOf(rows) });
  const next = startingFirst(over);
  if (under.length === 0)
    return { ...longestOf(next, depth), doubts: [{ code: 'aboveBands', values: { depth } }] };
  return {
    ...longestOf([...endingLast(under), ...next], depth),
    doubts: [{ code: 'gap', values: { depth } }],
  };
}

/** 0: the band holds this depth; above 0: it ends over it; below 0: it begins under it. */
function placeOf({ depth: band }: VacuumRow, depth: number): number {
  if (band === null) return 0;
  const { from, to, includesFrom, includesTo } = band;
  const [fromTop, toEnd] = [depth - from, to === null ? -Infinity : depth - to];
  if (fromTop < -rounding || (Math.abs(fromTop) <= rounding && !includesFrom)) return -1;
  if (toEnd > rounding || (Math.abs(toEnd) <= rounding && !includesTo)) return 1;
  return 0;
}

const deepestOf = (rows: readonly VacuumRow[]) => Math.max(...rows.map(({ depth }) => depth!.to!));

function endingLast(rows: readonly VacuumRow[]): VacuumRow[] {
  const last = deepestOf(rows);
  return rows.filter(({ depth }) => depth!.to === last);
}

function startingFirst(rows: readonly VacuumRow[]): VacuumRow[] {
  const first = Math.min(...rows.map(({ depth }) => depth!.from));
  return rows.filter(({ depth }) => depth!.from === first);
}

function longestOf(rows: readonly VacuumRow[], depth: number): RequiredTime {
  const times = rows.map((row) => timeOf(row, depth));
  const seconds = Math.max(...times);
  const isDoubtful = times.some((time) => time !== seconds);
  return {
    seconds,
    row: rows[times.indexOf(seconds)],
    doubts: isDoubtful ? [{ code: 'overlap', values: { depth, least: Math.min(...times), seconds } }] : [],
  };
}

/** To a millionth of a second, so that a depth turned into feet and back costs none. */
function timeOf({ seconds, secondsPerDepth, depth: band }: VacuumRow, depth: number): number {
  const past = band === null ? 0 : Math.max(0, depth - band.from);
  return Math.round((seconds + secondsPerDepth * past) * 1e6) / 1e6;
}

function ask(
  code: VacuumNote['code'],
  rows: readonly VacuumRow[],
  values: Record<string, number> = {},
): VacuumQuestion {
  const isBounded =
    rows.length > 0 && rows.every((row) => row.secondsPerDepth === 0 || row.depth?.to != null);
  const most = isBounded ? Math.max(...rows.map((row) => timeOf(row, row.depth?.to ?? 0))) : null;
  return { question: { code, values }, longest: most };
}
