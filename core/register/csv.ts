import type { Projection } from '../crs/crs.ts';
import type { Problem } from '../problem.ts';
import { Cells } from './cells.ts';
import { type RegisterUnits, readRegisterHeadings } from './columns.ts';
import { doubts } from './doubts.ts';
import { readRow } from './row.ts';
import { splitTable, type TableRecord } from './table.ts';
import type { RegisterRow } from './types.ts';

export interface RegisterOptions extends RegisterUnits {
  /** Brings longitude and latitude into the grid; without it such rows keep them as `lonLat` and have no place. */
  projection?: Projection;
}

export interface RegisterResult {
  rows: RegisterRow[];
  /** Columns and rows that were refused; every other row is in `rows`. */
  problems: Problem[];
  /** Worth saying, though the row was kept: no place, an id that a spreadsheet changed, an unlikely size. */
  warnings: Problem[];
}

/** Reads a register of structures with a heading line. Never throws; a bad row is one problem, the others are kept. */
export function readRegisterCsv(text: string, options: RegisterOptions): RegisterResult {
  const table = splitTable(text);
  const [heading, ...records] = table.records;
  if (heading === undefined) {
    const problem = { code: 'empty', row: null, column: null, value: null, message: 'the file has no lines' };
    return { rows: [], problems: [problem], warnings: [] };
  }
  const columns = readRegisterHeadings(heading.fields, heading.row, options);
  if (columns.at.size === 0 && columns.problems.every(({ code }) => code === 'missingColumn'))
    return { rows: [], problems: [noHeading(heading)], warnings: [] };
  const { warnings } = columns;
  const problems = [...columns.problems, ...table.problems];
  const rows: RegisterRow[] = [];
  if (!columns.at.has('id')) return { rows, problems, warnings };
  const firstRowOf = new Map<string, number>();
  for (const { fields, row } of records) {
    const cells = new Cells(fields, columns, row, table.decimalComma);
    const read = readRow(cells, row, options.projection ?? null);
    const earlier = firstRowOf.get(read.id);
    if (cells.fault !== null) {
      problems.push(cells.fault);
    } else if (earlier !== undefined) {
      const message = `row ${earlier} has this id already; the second one is not read`;
      problems.push({ code: 'duplicateId', row, column: 'id', value: read.id, message });
    } else {
      firstRowOf.set(read.id, row);
      rows.push(read);
      warnings.push(...doubts(read));
    }
  }
  problems.sort((a, b) => (a.row ?? 0) - (b.row ?? 0));
  return { rows, problems, warnings };
}

/** One line for a file whose first line names no column, instead of one for each of its cells. */
function noHeading({ fields, row }: TableRecord): Problem {
  const text = fields.join(',').slice(0, 60);
  const message = `"${text}" is no heading line; the first line has to name the columns: id, northing, easting and so on`;
  return { code: 'noHeading', row, column: null, value: null, message };
}
