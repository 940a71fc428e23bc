import type { Problem } from '../../problem.ts';
import { delimiters, FieldSplitter } from '../../survey/fields.ts';
import { readAngle } from '../../units/angle.ts';
import type { RawShot } from '../types.ts';
import type { Dialect } from './dialect.ts';
import type { ShotMeaning } from './headings.ts';
import type { ShotLayout } from './layout.ts';
import { comma, largestNumber, readNumber } from './number.ts';

/** Reads one line after another of a point file; a bad row is one problem and no shot. */
export class ShotRows {
  readonly #fields = new FieldSplitter('');
  readonly #layout: ShotLayout;
  readonly #dialect: Dialect;
  readonly #refuse: (problem: Problem) => void;
  readonly #east: ShotMeaning;
  readonly #north: ShotMeaning;
  readonly #hasExtras: boolean;
  /** Codes seen, so that a million shots of one code share one string. */
  readonly #codes = new Map<string, string>();

  constructor(layout: ShotLayout, dialect: Dialect, refuse: (problem: Problem) => void) {
    this.#layout = layout;
    this.#dialect = dialect;
    this.#refuse = refuse;
    this.#fields.delimiter = dialect.delimiter;
    this.#fields.restFrom = layout.restFrom;
    const isGrid = layout.at.northing >= 0 && layout.at.easting >= 0;
    this.#east = isGrid ? 'easting' : 'lon';
    this.#north = isGrid ? 'northing' : 'lat';
    this.#hasExtras = layout.at.fix >= 0 || layout.at.epoch >= 0;
  }

  /** The shot in text[start, end); null for a blank line and for a row that was refused. */
  read(text: string, start: number, end: number, row: number): RawShot | null {
    const fields = this.#fields;
    fields.text = text;
    fields.split(start, end);
    if (fields.count === 0 || (fields.count === 1 && fields.isBlank(0))) return null;
    const { at, count, least } = this.#layout;
    if (
      fields.count < least ||
      (fields.count > count && !this.#onlyBlanksFrom(count)) ||
      this.#hasDecimalCommas()
    ) {
      this.#say(row, 'fieldCount', null, this.#countMessage());
      return null;
    }
    if (this.#hasBrokenName()) {
      const message =
        'one number more than a point has, where blanks separate the fields: a name with a blank in it needs another separator';
      this.#say(row, 'nameWithBlank', 'point', message);
      return null;
    }
    const northing = this.#coordinate(row, this.#north);
    if (northing === null) return null;
    const easting = this.#coordinate(row, this.#east);
    if (easting === null) return null;
    const elevation = this.#number(row, 'elevation');
    if (elevation === null) return null;
    const sigma = this.#sigma(row);
    if (sigma === undefined) return null;
    const code = this.#code(this.#withoutEmptyColumns(fields.field(at.code)));
    const shot: RawShot = { row, point: fields.field(at.point), northing, easting, elevation, code, sigma };
    if (this.#hasExtras) {
      shot.fix = fields.field(at.fix);
      shot.epoch = fields.field(at.epoch);
    }
    return shot;
  }

  /** What stands in a column of the row last read. */
  written(column: ShotMeaning): string {
    return this.#fields.field(this.#layout.at[column]);
  }

  /** Spreadsheets end every row with the empty columns of their widest one; a description keeps the rest of its line. */
  #withoutEmptyColumns(text: string): string {
    const { delimiter } = this.#fields;
    if (this.#layout.restFrom < 0 || text.charCodeAt(text.length - 1) !== delimiter) return text;
    let end = text.length;
    while (end > 0 && (text.charCodeAt(end - 1) === delimiter || text.charCodeAt(end - 1) === 32)) end--;
    return text.slice(0, end);
  }

  #code(text: string): string {
    const known = this.#codes.get(text);
    if (known !== undefined) return known;
    if (this.#codes.size < 10_000) this.#codes.set(text, text);
    return text;
  }

  /** Spreadsheets end every row with the empty columns of their widest one. */
  #onlyBlanksFrom(index: number): boolean {
    const fields = this.#fields;
    const kept = Math.min(fields.count, fields.starts.length);
    for (let at = index; at < kept; at++) if (!fields.isBlank(at)) return false;
    return fields.count <= fields.starts.length;
  }

  #coordinate(row: number, column: ShotMeaning): number | null {
    const value = this.#number(row, column);
    if (value === null || Math.abs(value) <= largestNumber) return value;
    if (!Number.isNaN(value)) {
      this.#say(row, 'range', column, 'larger than any coordinate');
      return null;
    }
    this.#say(row, 'missing', column, 'blank; a missing coordinate is never taken as 0');
    return null;
  }

  /** NaN where the field is blank or absent; null after a problem was noted. */
  #number(row: number, column: ShotMeaning): number | null {
    const fields = this.#fields;
    const index = this.#layout.at[column];
    if (index < 0 || index >= fields.count || fields.isBlank(index)) return Number.NaN;
    const value = readNumber(fields.text, fields.starts[index], fields.ends[index], this.#dialect);
    if (!Number.isNaN(value)) return value;
    const angle = column === 'lat' || column === 'lon' ? readAngle(fields.field(index), column) : null;
    if (angle !== null) return angle;
    this.#say(row, 'notANumber', column, this.#whyNoNumber(fields.field(index)));
    return null;
  }

  #whyNoNumber(value: string): string {
    if (!/^[+\-−]?[\d.,' ]*\d[\d.,' ]*$/.test(value) || !/[.,]/.test(value)) return 'not a number';
    const mark = this.#dialect.mark === comma ? 'comma' : 'point';
    return `not a number in a file whose decimal mark is a ${mark}; it could be read two ways`;
  }

  #sigma(row: number): number | null | undefined {
    const sigma = this.#number(row, 'sigma');
    if (sigma === null) return undefined;
    if (Number.isNaN(sigma)) return null;
    if (sigma > 0) return sigma;
    this.#say(
      row,
      'notPositive',
      'sigma',
      'a standard deviation is above 0; leave it blank where it is not known',
    );
    return undefined;
  }

  /**
   * A row like `7,5012345,678,401234,500,12,345,MH`, a comma as separator and as decimal mark: its numbers are all
   * whole and its description starts with digits and a comma.
   */
  #hasDecimalCommas(): boolean {
    const fields = this.#fields;
    const { restFrom } = this.#layout;
    if (fields.delimiter !== delimiters.comma || restFrom < 0 || fields.count <= restFrom) return false;
    const first = fields.text.charCodeAt(fields.starts[restFrom]);
    if (first < 48 || first > 57 || fields.isQuoted(restFrom)) return false;
    const numbers = [this.#north, this.#east, 'elevation'] as const;
    return (
      /^\d+\s*,/.test(fields.field(restFrom)) &&
      numbers.every((column) => /^[+-]?\d+$/.test(fields.field(this.#layout.at[column])))
    );
  }

  /** A row like `MH 7   560120.12  1430220.45  745.41  MH` between blanks: its name takes two fields, and all shift. */
  #hasBrokenName(): boolean {
    const fields = this.#fields;
    const { restFrom, from, at } = this.#layout;
    if (fields.delimiter !== delimiters.space || from !== 'order' || at.point !== 0) return false;
    if (restFrom !== 4 || fields.count <= restFrom) return false;
    const mark = String.fromCharCode(this.#dialect.mark);
    const isDecimal = (text: string) => text.includes(mark) && /^[+-]?\d+[.,]\d+$/.test(text);
    return (
      /^\d+$/.test(fields.field(1)) &&
      isDecimal(fields.field(2)) &&
      isDecimal(fields.field(3)) &&
      isDecimal(fields.field(restFrom).split(/\s/, 1)[0])
    );
  }

  #countMessage(): string {
    const { count } = this.#fields;
    const { restFrom, count: expected, least } = this.#layout;
    const inside = restFrom >= 0 && count > restFrom ? this.#fields.field(restFrom).split(',').length - 1 : 0;
    const found = count + inside;
    if (found < least) return `${found} ${found === 1 ? 'field' : 'fields'} where ${expected} are expected`;
    const isComma = this.#fields.delimiter === delimiters.comma;
    const why = isComma ? '; a comma cannot be both the separator and the decimal mark' : '';
    return `${found} fields where ${expected} are expected${why}`;
  }

  #say(row: number, code: string, column: ShotMeaning | null, message: string): void {
    const index = column === null ? -1 : this.#layout.at[column];
    const heading = index < 0 ? column : this.#layout.columns[index].heading;
    const value = index < 0 ? null : this.#fields.field(index).slice(0, 100);
    this.#refuse({ code, row, column: heading, value, message });
  }
}
