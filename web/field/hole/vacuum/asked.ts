import { fromMetres } from '#core/units/length.ts';
import type { VacuumTable } from '#shared/vacuum-table.ts';

export interface Asked {
  seconds: number | null;
  doubts: string[];
}

export function askedOf(table: VacuumTable, diameterM: number | null, depthM: number | null): Asked {
  if (diameterM === null) return { seconds: null, doubts: ['Type the diameter of the barrel.'] };
  const d = fromMetres(diameterM, table.diameterUnit);
  const z = depthM === null ? null : fromMetres(depthM, table.depthUnit);
  const rows = table.rows.filter(
    (row) =>
      (row.diameter === null || Math.abs(row.diameter - d) < 0.5) &&
      (row.depth === null ||
        (z !== null && z >= row.depth.from && (row.depth.to === null || z <= row.depth.to))),
  );
  if (rows.length === 0)
    return { seconds: null, doubts: ['The table has no row for this barrel. Ask the engineer.'] };
  return { seconds: Math.max(...rows.map((row) => row.seconds)), doubts: [] };
}

/** `tooShort`: broken off while it still held, which says nothing. */
export type Outcome = 'passed' | 'failed' | 'tooShort';

export function judge(
  table: VacuumTable,
  { seconds, endInHg, required }: { seconds: number; endInHg: number; required: number },
): Outcome {
  const isLong = table.passes === 'longer' ? seconds > required : seconds >= required;
  if (!isLong && endInHg > table.endInHg) return 'tooShort';
  return isLong && endInHg >= table.endInHg ? 'passed' : 'failed';
}
