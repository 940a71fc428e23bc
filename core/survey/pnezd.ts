import { isComment, sniffDialect, splitLine } from '../intake/delimited/dialect.ts';
import { layoutOfOrder, type ShotLayout } from '../intake/delimited/layout.ts';
import { ShotRows } from '../intake/delimited/shotRows.ts';
import type { Problem } from '../problem.ts';
import type { Shot } from '../surface/types.ts';
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
import { forEachLine } from './fields.ts';

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
  /** Lines that are comments. */
  comments: number;
}

/** Elevations that programs write for "none", as they stand in the file. */
const noDataMarks: ReadonlySet<number> = new Set([-999, -9999, -99999, -999999, -32768]);
/** The dialect is told from the lines in so many characters. */
const headCharacters = 65_536;

/**
 * Reads a point file whose meaning is known, from text, into shots in metres: comma, semicolon, tab or space between
 * the fields, with or without a heading line, any line end. Never throws; a bad row is one problem.
 */
export function readPnezd(text: string, options: PnezdOptions): PnezdResult {
  const result: PnezdResult = { shots: [], problems: [], warnings: [], codes: [], comments: 0 };
  const lines = firstLines(text);
  if (lines.length === 0) return result;
  const dialect = sniffDialect(lines.map(({ line }) => line));
  const fields = splitLine(lines[0].line, dialect.delimiter);
  const heading = isHeadingLine(fields) ? lines[0].row : null;
  let columns: ShotColumns | null = columnsInOrder(options.headings ?? pnezdOrder, options);
  if (heading !== null) {
    const read = readShotHeadings(fields, heading, options);
    result.problems.push(...read.problems);
    result.warnings.push(...read.warnings);
    columns = read.columns;
  }
  if (columns === null) return result;
  const codes = new CodeCounter();
  const rows = new ShotRows(layoutOf(columns), dialect, (problem) => result.problems.push(problem));
  const { metres } = columns;
  forEachLine(text, (start, end, row) => {
    if (isComment(text, start, end, dialect.delimiter)) result.comments++;
    else if (row !== heading) {
      const raw = rows.read(text, start, end, row);
      if (raw === null) return;
      const problem = whyNoElevation(raw.elevation, rows.written('elevation'), row);
      if (problem) {
        result.problems.push(problem);
        return;
      }
      result.shots.push({
        point: raw.point,
        east: raw.easting * metres.easting,
        north: raw.northing * metres.northing,
        elevation: raw.elevation * metres.elevation,
        code: raw.code,
        role: codes.count(raw.code),
        sigma: raw.sigma === null ? null : raw.sigma * metres.sigma,
      });
    }
  });
  result.codes = codes.list();
  return result;
}

function firstLines(text: string): { line: string; row: number }[] {
  const head = text.slice(0, headCharacters);
  const lines: { line: string; row: number }[] = [];
  forEachLine(head, (start, end, row) => {
    const line = head.slice(start, end);
    // A cut line at the end of the head tells less than it seems to.
    const isCut = end === head.length && head.length < text.length && lines.length > 0;
    if (line.trim() !== '' && !isCut && !isComment(head, start, end, 0)) lines.push({ line, row });
  });
  return lines;
}

/** A row may leave out its description, and nothing else. */
function layoutOf({ at, count }: ShotColumns): ShotLayout {
  const order = Array.from({ length: count }, (_, index) => {
    const found = Object.entries(at).find(([, place]) => place === index);
    return (found?.[0] ?? null) as ShotColumn | null;
  });
  const layout = layoutOfOrder(order, 'given');
  return { ...layout, least: layout.restFrom < 0 ? count : count - 1 };
}

function whyNoElevation(elevation: number, value: string, row: number): Problem | null {
  const refuse = (code: string, message: string): Problem => ({
    code,
    row,
    column: 'elevation',
    value,
    message,
  });
  if (Number.isNaN(elevation)) return refuse('missing', 'blank; a missing value is never taken as 0');
  if (!noDataMarks.has(elevation)) return null;
  return refuse('noData', 'this stands for "no data", not for an elevation; the shot is set aside');
}
