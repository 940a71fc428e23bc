import { fromMetres } from '../units/length.ts';
import type { VacuumRow, VacuumTable } from './types.ts';

type Row = VacuumRow;
type Depth = NonNullable<Row['depth']>;

/** The least time that a table asks of a structure, and what has to be said of how it was read. */
export interface Asked {
  /** null: the table has no answer; nothing can pass then. */
  seconds: number | null;
  doubts: string[];
}

interface Size {
  diameterM: number | null;
  depthM: number | null;
}

/** Half a unit of the table: a barrel of 1219 mm is one of 48 in. */
const sameDiameter = { in: 0.5, mm: 12.7 } as const;

/**
 * The required time by the agency's table. Where bands share their bounds, or leave a gap between them, or a size that
 * the rows differ by is not known, the longest time that may be meant counts, and the doubt is said. A diameter between
 * two rows has no answer: nobody printed one.
 */
export function askedOf(table: VacuumTable, { diameterM, depthM }: Size): Asked {
  const doubts: string[] = [];
  const diameter = diameterM === null ? null : fromMetres(diameterM, table.diameterUnit);
  const depth = depthM === null ? null : fromMetres(depthM, table.depthUnit);
  const isOfBarrel = ({ diameter: row }: Row) =>
    row === null || diameter === null || Math.abs(row - diameter) <= sameDiameter[table.diameterUnit];
  const rows = table.rows.filter(isOfBarrel);
  if (rows.length === 0)
    return {
      seconds: null,
      doubts: ['The table has no row for this barrel. Ask the engineer before you test.'],
    };
  if (diameter === null && rows.some((row) => row.diameter !== null))
    doubts.push('The barrel’s diameter is not known: the longest time of all counts.');
  if (depth === null && rows.some((row) => row.depth !== null)) {
    doubts.push('The depth is not known: the longest time of all depths counts.');
    if (rows.some(({ secondsPerDepth }) => secondsPerDepth > 0))
      return { seconds: null, doubts: ['Type the depth: the time grows with it.'] };
    return { seconds: longest(rows, 0), doubts };
  }
  const inBand = rows.filter((row) => row.depth === null || isWithin(row.depth, depth!));
  const times = new Set(inBand.map((row) => timeOf(row, depth ?? 0)));
  if (times.size > 1 && diameter !== null)
    doubts.push('Two bands of the table hold this depth: the longer time counts.');
  if (inBand.length > 0) return { seconds: longest(inBand, depth ?? 0), doubts };
  const beside = rows.filter(
    ({ depth: band }) => band !== null && (band.from === depth || band.to === depth),
  );
  if (beside.length === 0)
    return {
      seconds: null,
      doubts: [...doubts, 'The table has no row for this depth. Ask the engineer before you test.'],
    };
  return {
    seconds: longest(beside, depth!),
    doubts: [
      ...doubts,
      'No band of the table holds this very depth: the longer time of its neighbours counts.',
    ],
  };
}

function isWithin({ from, to, includesFrom, includesTo }: Depth, depth: number): boolean {
  const isOverFrom = includesFrom ? depth >= from : depth > from;
  return isOverFrom && (to === null || (includesTo ? depth <= to : depth < to));
}

const timeOf = ({ seconds, secondsPerDepth, depth: band }: Row, depth: number): number =>
  seconds + secondsPerDepth * Math.max(0, depth - (band?.from ?? 0));

/** In whole seconds, upward; a depth turned into feet and back costs none. */
const longest = (rows: readonly Row[], depth: number): number =>
  Math.ceil(Math.max(...rows.map((row) => timeOf(row, depth))) - 1e-6);
