/**
 * A fault in somebody's data, returned as a value: field data is never an exception.
 * `row` counts from 1 at the first line of the file, headings included, as a spreadsheet shows it.
 */
export interface Problem {
  /** Stable word for programs, e.g. `notANumber`. */
  code: string;
  row: number | null;
  /** The heading or field the value stood under. */
  column: string | null;
  /** The value as it was written. */
  value: string | null;
  /** One sentence for people: what is wrong and which rule says so. */
  message: string;
}

/** One line for a terminal or a log: `row 12, northing "abc": not a number`. */
export function sayProblem({ row, column, value, message }: Problem): string {
  const where = [
    row === null ? '' : `row ${row}`,
    column === null ? '' : column + (value === null ? '' : ` "${value}"`),
  ];
  return `${where.filter(Boolean).join(', ') || 'file'}: ${message}`;
}
