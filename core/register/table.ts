import { splitLine } from '../intake/delimited/dialect.ts';
import { TableRows } from '../intake/delimited/tableRows.ts';
import type { Problem } from '../problem.ts';
import { delimiters, forEachLine } from '../survey/fields.ts';

export interface TableRecord {
  fields: string[];
  /** Line the record starts on, from 1. */
  row: number;
}

export interface Table {
  /** The headings first. */
  records: TableRecord[];
  /** Rows with more fields than there are headings. */
  problems: Problem[];
  /** true where the separator is no comma, so that 12,5 can be a number. */
  decimalComma: boolean;
}

/**
 * Splits comma-, semicolon- or tab-separated text with any line end, past a byte order mark, into its records that are
 * not blank, as the streaming reader of registers does: a quoted field may run over line ends, and a lone inch mark
 * opens none.
 */
export function splitTable(text: string): Table {
  const firstLine = /[^\s\uFEFF][^\r\n]*/.exec(text)?.[0] ?? '';
  const marks = [delimiters.semicolon, delimiters.tab];
  const delimiter = marks.find((mark) => firstLine.includes(String.fromCharCode(mark))) ?? delimiters.comma;
  const table: Table = { records: [], problems: [], decimalComma: delimiter !== delimiters.comma };
  let rows: TableRows | null = null;
  const keep = (read: ReturnType<TableRows['read']>) => {
    for (const { row, values } of read)
      table.records.push({ row, fields: values.map((value) => String(value ?? '')) });
  };
  forEachLine(text, (start, end, row) => {
    const line = text.slice(start, end);
    if (rows !== null) return keep(rows.read(line, row));
    const fields = splitLine(line, delimiter);
    if (fields.every((field) => field === '')) return;
    table.records.push({ fields, row });
    const style = { delimiter, mark: 46, thousands: false, markInDoubt: false };
    rows = new TableRows(fields.length, style, (problem) => table.problems.push(problem));
  });
  keep((rows as TableRows | null)?.end() ?? []);
  return table;
}
