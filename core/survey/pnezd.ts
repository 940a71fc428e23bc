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
import {
  delimiters,
  type FieldBounds,
  forEachLine,
  guessDelimiter,
  makeBounds,
  splitLine,
} from './fields.ts';

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
  readonly #text: string;
  readonly #options: PnezdOptions;
  readonly #bounds: FieldBounds = makeBounds();
  readonly #codes = new CodeCounter();
  readonly #shots: Shot[] = [];
  readonly #problems: Problem[] = [];
  readonly #warnings: Problem[] = [];
  readonly #rule = { delimiter: 0, restFrom: -1 };
  #comments = 0;
  #columns: ShotColumns;
  #started = false;
  #stopped = false;
  /** Decimal mark of the file, once a number has shown it. */
  #mark = 0;

  constructor(text: string, options: PnezdOptions) {
    this.#text = text;
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
    if (this.#text.charCodeAt(start) === 35 && end > start) {
      this.#comments++;
      return;
    }
    if (!this.#started) {
      const line = this.#text.slice(start, end);
      if (line.trim() === '') return;
      this.#started = true;
      this.#rule.delimiter = guessDelimiter(line);
      if (this.#readHeadings(start, end, row)) return;
      this.#keepRest();
    }
    splitLine(this.#text, start, end, this.#rule, this.#bounds);
    if (this.#bounds.count === 1 && this.#bounds.end[0] === this.#bounds.start[0]) return;
    this.#shot(row);
  }

  #keepRest(): void {
    const { at, count } = this.#columns;
    this.#rule.restFrom = at.code === count - 1 ? at.code : -1;
  }

  #readHeadings(start: number, end: number, row: number): boolean {
    splitLine(this.#text, start, end, this.#rule, this.#bounds);
    const fields = Array.from({ length: Math.min(this.#bounds.count, this.#bounds.start.length) }, (_, i) =>
      this.#text.slice(this.#bounds.start[i], this.#bounds.end[i]),
    );
    if (!isHeadingLine(fields)) return false;
    const read = readShotHeadings(fields, row, this.#options);
    this.#problems.push(...read.problems);
    this.#warnings.push(...read.warnings);
    if (read.columns === null) this.#stopped = true;
    else this.#columns = read.columns;
    this.#keepRest();
    return true;
  }

  #shot(row: number): void {
    const { at, metres, count } = this.#columns;
    const least = at.code === count - 1 ? count - 1 : count;
    if (this.#bounds.count < least || this.#bounds.count > count || this.#looksLikeDecimalCommas()) {
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
    const code = this.#field('code');
    this.#shots.push({
      point: this.#field('point'),
      east: east * metres.easting,
      north: north * metres.northing,
      elevation: elevation * metres.elevation,
      code,
      role: this.#codes.count(code),
      sigma,
    });
  }

  #field(column: ShotColumn): string {
    const index = this.#columns.at[column];
    if (index < 0 || index >= this.#bounds.count) return '';
    const start = this.#bounds.start[index];
    const field = this.#text.slice(start, this.#bounds.end[index]);
    const quoted = this.#text.charCodeAt(start - 1) === 34 && field.includes('""');
    return quoted ? field.replaceAll('""', '"') : field;
  }

  /** The number in a column, or null after a problem was noted. */
  #number(row: number, column: 'northing' | 'easting' | 'elevation' | 'sigma'): number | null {
    const index = this.#columns.at[column];
    const start = this.#bounds.start[index];
    const end = this.#bounds.end[index];
    if (start === end) {
      this.#refuse(row, 'missing', column, 'blank; a missing value is never taken as 0');
      return null;
    }
    const value = readDecimal(this.#text, start, end, this.#mark || point);
    if (!Number.isNaN(value)) {
      if (this.#mark === 0 && this.#text.slice(start, end).includes('.')) this.#mark = point;
      return value;
    }
    if (this.#mark === 0 && this.#rule.delimiter !== delimiters.comma) {
      const withComma = readDecimal(this.#text, start, end, comma);
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
    if (index < 0 || this.#bounds.start[index] === this.#bounds.end[index]) return null;
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
   * are all whole and a description that goes on with digits and a comma.
   */
  #looksLikeDecimalCommas(): boolean {
    if (this.#rule.delimiter !== delimiters.comma || this.#rule.restFrom < 0) return false;
    const { start, end } = this.#bounds;
    const code = this.#columns.at.code;
    const first = this.#bounds.count > code ? this.#text.charCodeAt(start[code]) : 0;
    if (first < 48 || first > 57 || this.#text.charCodeAt(start[code] - 1) === 34) return false;
    if (!/^\d+\s*(,|$)/.test(this.#text.slice(start[code], end[code]))) return false;
    const { northing, easting, elevation } = this.#columns.at;
    const numbers = [northing, easting, elevation].map((index) => this.#text.slice(start[index], end[index]));
    return (
      this.#text.slice(start[code], end[code]).includes(',') && numbers.every((field) => !field.includes('.'))
    );
  }

  #countMessage(): string {
    const { restFrom } = this.#rule;
    let found = this.#bounds.count;
    if (restFrom >= 0 && found > restFrom) {
      const rest = this.#text.slice(this.#bounds.start[restFrom], this.#bounds.end[restFrom]);
      found += rest.split(',').length - 1;
    }
    const expected = this.#columns.count;
    const why = found > expected ? '; a comma cannot be both the separator and the decimal mark' : '';
    return `${found} fields where ${expected} are expected${why}`;
  }

  #refuse(row: number, code: string, column: ShotColumn | null, message: string): void {
    const index = column === null ? -1 : this.#columns.at[column];
    const value = index < 0 ? null : this.#text.slice(this.#bounds.start[index], this.#bounds.end[index]);
    this.#problems.push({ code, row, column, value, message });
  }
}
