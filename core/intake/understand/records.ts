import { saysNone } from '../../register/noElevation.ts';
import { readAngle } from '../../units/angle.ts';
import { parseFeetAndInches } from '../../units/fraction.ts';
import { metresPer, parseLength } from '../../units/length.ts';
import { comma, largestNumber, type NumberStyle, readNumber } from '../delimited/number.ts';
import type { RawFeature, RawGeometry } from '../types.ts';
import type { SampleValue } from '../understanding.ts';
import { type MappedColumn, structureMeanings } from './meanings.ts';

/** A record of a register as it is understood, in the file's own units; null where it is blank. */
export interface StructureRecord {
  row: number;
  /** Text as written. */
  id: string | null;
  /** East and north, or longitude and latitude; null where there is none. */
  x: number | null;
  y: number | null;
  /** Third ordinate of the geometry. */
  z: number | null;
  /** Numbers of the columns that have them, by meaning. */
  numbers: Partial<Record<string, number | null>>;
  texts: Partial<Record<string, string | null>>;
  /** Metres of sizes and elevations that are written with a unit of their own, e.g. `7 1/2"` or `2' 3"`. */
  metres: Partial<Record<string, number>>;
  /** Words that stand for no number in columns of elevations, sizes, bearings and ratios, by meaning. */
  none: Partial<Record<string, string>>;
  /** A coordinate that a spreadsheet wrote with too few digits to say where it is. */
  rounded: { column: string; value: string } | null;
  /** First value that is not what its column holds. */
  fault: { column: string; value: string } | null;
}

const pointStyle: NumberStyle = { mark: 46, thousands: false };

/** Turns records into what their columns mean. Numbers are read as the file writes them. */
export class RecordReader {
  readonly #columns: readonly MappedColumn[];
  readonly #style: NumberStyle;
  readonly #isText: boolean;

  /** `style` of a text file; formats with typed values have none, and their text stays text. */
  constructor(columns: readonly MappedColumn[], style?: NumberStyle) {
    this.#columns = columns;
    this.#isText = style !== undefined;
    this.#style = style ?? pointStyle;
  }

  number(value: RawFeature['values'][number]): number {
    if (typeof value === 'number') return value;
    if (typeof value !== 'string') return Number.NaN;
    const text = value.trim();
    return readNumber(text, 0, text.length, this.#style);
  }

  read({ row, geometry, values }: RawFeature): StructureRecord {
    const record: StructureRecord = {
      row,
      id: null,
      x: null,
      y: null,
      z: null,
      numbers: {},
      texts: {},
      metres: {},
      none: {},
      rounded: null,
      fault: null,
    };
    for (const { index, meaning, name } of this.#columns) {
      if (meaning === null) continue;
      const value = values[index] ?? null;
      const kind = structureMeanings[meaning];
      if (kind === 'text' || kind === 'flag') {
        const text = value === null ? null : String(value).trim();
        if (meaning === 'id') record.id = text === '' ? null : text;
        else record.texts[meaning] = text === '' ? null : text;
        continue;
      }
      const isBlank = value === null || (typeof value === 'string' && value.trim() === '');
      if (!isPlace(kind) && typeof value === 'string' && saysNone(value)) {
        record.none[meaning] = value.trim();
        record.numbers[meaning] = null;
        continue;
      }
      const number = isBlank ? null : this.number(value);
      const own = number !== null && Number.isNaN(number) ? this.#own(value, kind, meaning) : null;
      if (own !== null && 'metres' in own) {
        record.metres[meaning] = own.metres;
        continue;
      }
      if (own !== null) {
        record.numbers[meaning] = own.degrees;
        continue;
      }
      if (kind === 'place' && typeof value === 'string' && isRounded(value))
        record.rounded ??= { column: name, value };
      const isFit = number === null || Math.abs(number) <= largestNumber;
      if (!isFit) record.fault ??= { column: name, value: String(value) };
      record.numbers[meaning] = isFit ? number : Number.NaN;
    }
    setPlace(record, geometry);
    return record;
  }

  /** What text means that is no number: a length with its unit, or an angle; null for neither. */
  #own(
    value: RawFeature['values'][number],
    kind: string,
    meaning: string,
  ): { metres: number } | { degrees: number } | null {
    if (typeof value !== 'string' || value.length > longestOwn) return null;
    if (kind === 'degrees') {
      const degrees = readAngle(value, meaning === 'lat' ? 'lat' : 'lon');
      return degrees === null ? null : { degrees };
    }
    // Which foot an elevation counts in is asked of the file; at the length of a size the two are one.
    if (kind !== 'size' && (kind !== 'elevation' || /f|['′]/i.test(value))) return null;
    const feet = parseFeetAndInches(value);
    if (feet !== null) return { metres: feet * metresPer.ft };
    const metres = parseLength(this.#style.mark === comma ? value.replace(',', '.') : value);
    return typeof metres === 'number' ? { metres } : null;
  }

  /** Values as they stand in the file, numbers as numbers unless the column is text. */
  raw(values: RawFeature['values']): { [name: string]: SampleValue } {
    return Object.fromEntries(
      this.#columns.map(({ name, index, meaning }) => {
        const value = values[index] ?? null;
        const staysText = !this.#isText || (meaning !== null && structureMeanings[meaning] === 'text');
        const number =
          staysText || typeof value !== 'string' || /^[+-]?0\d|e/i.test(value)
            ? Number.NaN
            : this.number(value);
        return [name, Number.isNaN(number) ? value : number];
      }),
    );
  }
}

/** A place that is not given in numbers is a fault of its row; anything else may be unknown. */
const isPlace = (kind: string): boolean => kind === 'place' || kind === 'degrees';

/** A length with its unit is no longer. */
const longestOwn = 40;

/** Whether a number in powers of ten has no digit left for the unit's own place. */
function isRounded(text: string): boolean {
  const match = /^\s*[+-]?\d[.,]?(\d*)[eE]\+?(\d{1,2})\s*$/.exec(text);
  return match !== null && match[1].length < Number(match[2]);
}

/** Geometry wins over columns. 0,0 is what programs write for no place. */
function setPlace(record: StructureRecord, geometry: RawGeometry | null): void {
  const { numbers } = record;
  const [x, y] =
    geometry?.type === 'point'
      ? geometry.position
      : numbers.easting != null || numbers.northing != null
        ? [numbers.easting ?? null, numbers.northing ?? null]
        : [numbers.lon ?? null, numbers.lat ?? null];
  if (geometry?.type === 'point') record.z = geometry.position[2];
  if (x === null || y === null || Number.isNaN(x) || Number.isNaN(y) || (x === 0 && y === 0)) return;
  record.x = x;
  record.y = y;
}
