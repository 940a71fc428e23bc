import type { Problem } from '../problem.ts';
import type { Shot } from '../surface/types.ts';
import { comma, point, readDecimal } from '../units/decimal.ts';
import { CodeCounter, type CodeUse } from './codes.ts';
import {
  columnsInOrder,
  isHeadingLine,
  pnezdOrder,
  readShotHeadings,
  type ShotColumn,
  type ShotColumns,
  type ShotUnits,
} from './columns.ts';
import { delimiters, FieldSplitter, forEachLine, guessDelimiter } from './fields.ts';

export interface PnezdOptions extends ShotUnits {
  /** Order of the columns of a file without a heading line; default PNEZD. */
  headings?: readonly ShotColumn[];
}

export interface PnezdResult {
  shots: Shot[];
  /** Rows and columns that were refused; every other row is in `shots`. */
  problems: Problem[];
  /** Worth saying, though nothing was refused. */
  warnings: Problem[];
  codes: CodeUse[];
  /** Lines that start with #. */
  comments: number;
}

/** Elevations that programs write for "none", as they stand in the file. */
const noDataMarks: ReadonlySet<number> = new Set([-999, -9999, -99999, -999999, -32768]);

/**
 * Reads a point file: comma, semicolon, tab or space between the fields, with or without a heading line, any line end.
 * In a file that is not separated by commas a decimal comma is read too. Never throws; a bad row is one problem.
 */
export function readPnezd(text: string, options: PnezdOptions): PnezdResult {
  const reader = new PnezdReader(text, options);
  forEachLine(text, (start, end, row) => reader.line(start, end, row));
  return reader.result();
}

class PnezdReader {
  readonly #options: PnezdOptions;
  readonly #fields: FieldSplitter;
  readonly #codes = new CodeCounter();
  readonly #shots: Shot[] = [];
  readonly #problems: Problem[] = [];
  readonly #warnings: Problem[] = [];
  #comments = 0;
  #columns: ShotColumns;
  #started = false;
  #stopped = false;
  /** Decimal mark of the file, once a number has shown it. */
  #mark = 0;

  constructor(text: string, options: PnezdOptions) {
    this.#fields = new FieldSplitter(text);
    this.#options = options;
    this.#columns = columnsInOrder(options.headings ?? pnezdOrder, options);
  }

  result(): PnezdResult {
    return {
      shots: this.#shots,
      problems: this.#problems,
      warnings: this.#warnings,
      codes: this.#codes.list(),
      comments: this.#comments,
    };
  }

  line(start: number, end: number, row: number): void {
    if (this.#stopped) return;
    const fields = this.#fields;
    if (end > start && fields.text.charCodeAt(start) === 35) {
      this.#comments++;
      return;
    }
    if (!this.#started) {
      const line = fields.text.slice(start, end);
      if (line.trim() === '') return;
      this.#started = true;
      fields.delimiter = guessDelimiter(line);
      if (this.#readHeadings(start, end, row)) return;
      this.#keepDescriptions();
    }
    fields.split(start, end);
    if (fields.count > 1 || !fields.isBlank(0)) this.#shot(row);
  }

  /** A code in the last column is a description: it keeps what follows, delimiters included. */
  #keepDescriptions(): void {
    const { at, count } = this.#columns;
    this.#fields.restFrom = at.code === count - 1 ? at.code : -1;
  }

  #readHeadings(start: number, end: number, row: number): boolean {
    const fields = this.#fields;
    fields.split(start, end);
    const names = Array.from({ length: Math.min(fields.count, fields.starts.length) }, (_, i) =>
      fields.field(i),
    );
    if (!isHeadingLine(names)) return false;
    const read = readShotHeadings(names, row, this.#options);
    this.#problems.push(...read.problems);
    this.#warnings.push(...read.warnings);
    if (read.columns === null) this.#stopped = true;
    else this.#columns = read.columns;
    this.#keepDescriptions();
    return true;
  }

  #shot(row: number): void {
    const fields = this.#fields;
    const { at, metres, count } = this.#columns;
    const least = fields.restFrom < 0 ? count : count - 1;
    if (fields.count < least || fields.count > count || this.#hasDecimalCommas()) {
      this.#refuse(row, 'fieldCount', null, this.#countMessage());
      return;
    }
    const north = this.#number(row, 'northing');
    if (north === null) return;
    const east = this.#number(row, 'easting');
    if (east === null) return;
    const elevation = this.#number(row, 'elevation');
    if (elevation === null) return;
    if (noDataMarks.has(elevation)) {
      this.#refuse(
        row,
        'noData',
        'elevation',
        'this stands for "no data", not for an elevation; the shot is set aside',
      );
      return;
    }
    const sigma = this.#sigma(row);
    if (sigma === undefined) return;
    const code = fields.field(at.code);
    this.#shots.push({
      point: fields.field(at.point),
      east: east * metres.easting,
      north: north * metres.northing,
      elevation: elevation * metres.elevation,
      code,
      role: this.#codes.count(code),
      sigma,
    });
  }

  /** The number in a column, or null after a problem was noted. */
  #number(row: number, column: 'northing' | 'easting' | 'elevation' | 'sigma'): number | null {
    const { text, starts, ends, delimiter } = this.#fields;
    const index = this.#columns.at[column];
    if (this.#fields.isBlank(index)) {
      this.#refuse(row, 'missing', column, 'blank; a missing value is never taken as 0');
      return null;
    }
    const [start, end] = [starts[index], ends[index]];
    const value = readDecimal(text, start, end, this.#mark || point);
    if (!Number.isNaN(value)) {
      if (this.#mark === 0 && text.slice(start, end).includes('.')) this.#mark = point;
      return value;
    }
    if (this.#mark === 0 && delimiter !== delimiters.comma) {
      const withComma = readDecimal(text, start, end, comma);
      if (!Number.isNaN(withComma)) {
        this.#mark = comma;
        return withComma;
      }
    }
    this.#refuse(row, 'notANumber', column, 'not a number');
    return null;
  }

  /** Sigma in metres, null where the file has none, undefined after a problem was noted. */
  #sigma(row: number): number | null | undefined {
    const index = this.#columns.at.sigma;
    if (index < 0 || this.#fields.isBlank(index)) return null;
    const sigma = this.#number(row, 'sigma');
    if (sigma === null) return undefined;
    if (sigma > 0) return sigma * this.#columns.metres.sigma;
    this.#refuse(
      row,
      'notPositive',
      'sigma',
      'a standard deviation is above 0; leave it blank where it is not known',
    );
    return undefined;
  }

  /**
   * A row like `7,5012345,678,401234,500,12,345,MH`: a comma as separator and as decimal mark. Known by numbers that
   * are all whole and a description that starts with digits and a comma.
   */
  #hasDecimalCommas(): boolean {
    const fields = this.#fields;
    const { code, northing, easting, elevation } = this.#columns.at;
    if (fields.delimiter !== delimiters.comma || fields.restFrom < 0 || fields.count <= code) return false;
    const first = fields.text.charCodeAt(fields.starts[code]);
    if (first < 48 || first > 57 || fields.isQuoted(code)) return false;
    return (
      /^\d+\s*,/.test(fields.field(code)) &&
      [northing, easting, elevation].every((index) => /^[+-]?\d+$/.test(fields.field(index)))
    );
  }

  #countMessage(): string {
    const { restFrom, count } = this.#fields;
    const inDescription =
      restFrom >= 0 && count > restFrom ? this.#fields.field(restFrom).split(',').length - 1 : 0;
    const found = count + inDescription;
    const expected = this.#columns.count;
    const why = found > expected ? '; a comma cannot be both the separator and the decimal mark' : '';
    return `${found} fields where ${expected} are expected${why}`;
  }

  #refuse(row: number, code: string, column: ShotColumn | null, message: string): void {
    const value = column === null ? null : this.#fields.field(this.#columns.at[column]);
    this.#problems.push({ code, row, column, value, message });
  }
}
