import { CsvError, parse } from 'csv-parse/browser/esm/sync';
import type { Problem } from '../problem.ts';

export interface TableRecord {
  fields: string[];
  /** Line the record starts on, from 1. */
  row: number;
}

export interface Table {
  records: TableRecord[];
  /** true where the separator is no comma, so that 12,5 can be a number. */
  decimalComma: boolean;
}

/**
 * Splits comma-, semicolon- or tab-separated text with any line end, past a byte order mark, into its records that are
 * not blank. A quote that is never closed is a problem naming the line it opens on: what follows it cannot be trusted.
 */
export function splitTable(text: string): Table | Problem {
  const firstLine = /[^\s\uFEFF][^\r\n]*/.exec(text)?.[0] ?? '';
  const delimiter = [';', '\t'].find((mark) => firstLine.includes(mark)) ?? ',';
  const records: TableRecord[] = [];
  let lastLine = 0;
  try {
    parse(text, {
      bom: true,
      delimiter,
      record_delimiter: ['\r\n', '\n', '\r'],
      relax_column_count: true,
      relax_quotes: true,
      skip_empty_lines: true,
      on_record: (fields: string[], { lines }) => {
        lastLine = lines;
        const inside = fields.reduce((count, field) => count + field.split(/\r\n|\n|\r/).length - 1, 0);
        if (fields.some((field) => field.trim() !== '')) records.push({ fields, row: lines - inside });
        return null;
      },
    });
  } catch (error) {
    if (!(error instanceof CsvError)) throw error;
    return {
      code: 'quoteNotClosed',
      row: lastLine + 1,
      column: null,
      value: null,
      message: 'a quoted field opens here and is never closed, so the file cannot be split into rows',
    };
  }
  return { records, decimalComma: delimiter !== ',' };
}
