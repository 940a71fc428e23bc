import { delimiters, FieldSplitter } from '../../survey/fields.ts';
import { readAngle } from '../../units/angle.ts';
import { comma, markShown, type NumberStyle, point, readNumber } from './number.ts';

/** How a text file separates its fields and writes its numbers. */
export interface Dialect extends NumberStyle {
  /** Character code between two fields. */
  delimiter: number;
  /** Every number that shows a mark could be read both ways, so somebody has to say. */
  markInDoubt: boolean;
}

export const delimiterNames: ReadonlyMap<number, string> = new Map([
  [delimiters.comma, 'comma'],
  [delimiters.semicolon, 'semicolon'],
  [delimiters.tab, 'tab'],
  [delimiters.pipe, 'vertical bar'],
  [delimiters.space, 'space'],
]);

/** From the likeliest, where two do equally well. */
const candidates = [
  delimiters.semicolon,
  delimiters.tab,
  delimiters.pipe,
  delimiters.comma,
  delimiters.space,
];

/**
 * Lines nobody is to read: # and // always, ; where it separates no fields, and the `sep=;` by which some spreadsheets
 * name their delimiter.
 */
export function isComment(text: string, start: number, end: number, delimiter: number): boolean {
  if (start >= end) return false;
  const first = text.charCodeAt(start);
  // 26 is the end of a file as DOS wrote it.
  if (first === 35 || (first === 26 && end - start === 1)) return true;
  if (first === 47) return text.charCodeAt(start + 1) === 47;
  if (first === 115 || first === 83) return end - start === 5 && /^sep=.$/i.test(text.slice(start, end));
  return first === 59 && delimiter !== delimiters.semicolon;
}

/** Fields of one line as text. */
export function splitLine(line: string, delimiter: number): string[] {
  const splitter = new FieldSplitter(line, 1024);
  splitter.delimiter = delimiter;
  splitter.split(0, line.length);
  return Array.from({ length: Math.min(splitter.count, 1024) }, (_, index) => splitter.field(index));
}

/**
 * Works the dialect out from lines that are neither blank nor comments: the delimiter that leaves the most numbers, else
 * the one that splits all lines; the decimal mark that the numbers show.
 */
export function sniffDialect(lines: readonly string[]): Dialect {
  const sample = lines.slice(0, 60).map((line) => line.slice(0, 4000));
  let best: { dialect: Dialect; score: number } | null = null;
  for (const delimiter of candidates) {
    const rows = sample.map((line) => splitLine(line, delimiter));
    const dialect = { delimiter, ...decimalMark(rows, delimiter) };
    const score = fitness(rows, dialect);
    if (score > (best?.score ?? 0) * (1 + 1e-9)) best = { dialect, score };
  }
  return best?.dialect ?? { delimiter: delimiters.comma, mark: point, thousands: false, markInDoubt: false };
}

/** Numbers a line, with a little for lines split alike; 0 where the delimiter does not occur. */
function fitness(rows: readonly string[][], dialect: Dialect): number {
  if (rows.length === 0 || rows.every((row) => row.length < 2)) return 0;
  let numbers = 0;
  let even = 0;
  for (const row of rows) {
    if (row.length > 1 && row.length >= rows[0].length) even++;
    if (row.length < 2) continue;
    for (const field of row.slice(0, 50)) {
      if (!Number.isNaN(readNumber(field, 0, field.length, dialect)) || isAngle(field)) numbers++;
    }
  }
  // Blanks stand inside headings and descriptions, so that spaces alone say little of how a file is split.
  const evenness = (even / rows.length) * (dialect.delimiter === delimiters.space ? 0.1 : 0.5);
  return numbers / rows.length + evenness;
}

/** Degrees and minutes have blanks inside, which must not look like what parts the fields. */
const isAngle = (field: string): boolean =>
  /[NSEW°º]/i.test(field) && (readAngle(field, 'lat') ?? readAngle(field, 'lon')) !== null;

function decimalMark(rows: readonly string[][], delimiter: number): Omit<Dialect, 'delimiter'> {
  const sure = { point: 0, comma: 0 };
  const maybe = { point: 0, comma: 0 };
  let grouped = false;
  for (const row of rows) {
    for (const field of row) {
      const shown = markShown(field);
      if (shown === null) continue;
      const side = shown.mark === comma ? 'comma' : 'point';
      if (shown.maybe) maybe[side]++;
      else sure[side]++;
      grouped ||= !shown.maybe && /[.,]\d{3}[.,]/.test(field);
    }
  }
  // Between commas a decimal comma can only be a quoted one, as rare as quoted thousands are common.
  const commaWins = delimiter === delimiters.comma ? sure.comma > 0 && sure.point === 0 : true;
  if (sure.comma > sure.point && commaWins) return { mark: comma, thousands: grouped, markInDoubt: false };
  if (sure.point > 0) return { mark: point, thousands: grouped, markInDoubt: false };
  if (maybe.comma === 0) return { mark: point, thousands: false, markInDoubt: false };
  if (maybe.point > 0) return { mark: point, thousands: true, markInDoubt: true };
  const mark = delimiter === delimiters.comma ? point : comma;
  return { mark, thousands: mark === point, markInDoubt: true };
}
