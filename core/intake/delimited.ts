import type { Problem } from '../problem.ts';
import { forEachLine } from '../survey/fields.ts';
import { counted } from '../units/count.ts';
import { unitFromWord } from '../units/length.ts';
import { type Dialect, isComment, sniffDialect, splitLine } from './delimited/dialect.ts';
import { isKnownHeading, isRegister, readColumnHeading, type ShotMeaning } from './delimited/headings.ts';
import {
  guessOrder,
  isHeading,
  layoutOfHeadings,
  layoutOfOrder,
  type ShotLayout,
} from './delimited/layout.ts';
import { ShotRows } from './delimited/shotRows.ts';
import { mostColumns, TableRows } from './delimited/tableRows.ts';
import { detectEncoding, textBlocks } from './delimited/text.ts';
import { ProblemLog, RepeatedReading, refuseFile } from './problemLog.ts';
import type { ByteSource, OpenedFile, RawFeature, RawShot, Reader } from './types.ts';

/** What a user says of a text file; whatever is absent is worked out and shown. */
export interface DelimitedOptions {
  /** Meaning of each column; null skips one. Needed where there are no headings and the order is not PNEZD. */
  order?: readonly (ShotMeaning | null)[];
  /** Decimal mark, where every number could be read both ways. */
  mark?: '.' | ',';
  /** Read it as this, whatever the headings say. */
  as?: 'shots' | 'structures';
}

/** A text file with how it was read. */
export interface DelimitedFile extends OpenedFile {
  dialect: Dialect;
  /** Layout of a point file; null for a register. */
  layout: ShotLayout | null;
  headingRow: number | null;
}

/** What the first lines of a file say. */
interface Beginning {
  dialect: Dialect;
  headings: string[] | null;
  headingRow: number | null;
  /** Lines above the headings that are neither blank nor comments. */
  titles: number;
  /** Lines with data, as far as they were looked at. */
  lines: string[];
}

/** Lines that the dialect and the order of columns are told from. */
const linesLookedAt = 60;

export const delimitedReader: Reader = {
  format: 'delimited',
  label: 'Delimited text',
  extensions: ['csv', 'txt', 'asc', 'pnt', 'pts', 'xyz', 'nez', 'tsv', 'tab', 'dat', 'prn'],
  recognises(name, head) {
    const text = headText(head);
    if (text === null || /^\s*[<{[]/.test(text)) return 0;
    const extension = name.split('.').pop()?.toLowerCase() ?? '';
    return delimitedReader.extensions.includes(extension) ? 0.6 : 0.2;
  },
  open: (files) => openDelimited(files[0]),
};

/** Text of a head; null where it has zeros or control characters, which no text file has. */
function headText(head: Uint8Array): string | null {
  const text = new TextDecoder(detectEncoding(head)).decode(head.subarray(0, 4096));
  // biome-ignore lint/suspicious/noControlCharactersInRegex: control characters are what tells bytes from text.
  return text.trim() === '' || /[\x00-\x08\x0e-\x19]/.test(text) ? null : text;
}

/** Opens a point file or a register of delimited text; rows are read later, in batches. */
export async function openDelimited(
  source: ByteSource,
  options: DelimitedOptions = {},
): Promise<DelimitedFile | Problem> {
  if (source.size === 0) return refuseFile('empty', 'the file is empty');
  const beginning = await readBeginning(source, options);
  if ('code' in beginning) return beginning;
  const { dialect, headings, headingRow, lines } = beginning;
  const log = new ProblemLog();
  const file: DelimitedFile = {
    format: 'delimited',
    crs: null,
    units: { horizontal: null, vertical: null },
    points: [],
    layers: [],
    tins: [],
    lines: [],
    grids: [],
    problems: log.list,
    dialect,
    layout: null,
    headingRow,
  };
  const columns = headings?.map(readColumnHeading) ?? null;
  if (headingRow !== null && beginning.titles > 0) {
    const message = `${counted(beginning.titles, 'line')} above the headings of row ${headingRow} ${beginning.titles === 1 ? 'is' : 'are'} not read`;
    log.note('titles', message);
  }
  const asRegister =
    options.as === 'structures' || (options.as === undefined && columns !== null && isRegister(columns));
  const reading = new RepeatedReading(log);
  if (asRegister && headings !== null) {
    if (headings.length < 2) return notATable();
    file.layers.push(registerLayer({ source, file, headings, reading }));
    return file;
  }
  const order = options.order ?? (headings === null ? guessOrder(lines, dialect) : undefined);
  if (order === null) return notATable();
  file.layout = order ? layoutOfOrder(order, options.order ? 'given' : 'order') : layoutOfHeadings(headings!);
  const lacking = whatIsMissing(file.layout);
  if (lacking) return lacking;
  const sigma = file.layout.columns[file.layout.at.sigma];
  file.points.push({
    name: source.name.replace(/\.[^.]*$/, ''),
    count: null,
    sigmaUnit: sigma?.unit ?? null,
    shots: () => readShots(source, file, reading.begin()),
  });
  return file;
}

function notATable(): Problem {
  return refuseFile(
    'notATable',
    'this is text, but neither rows of points with two coordinates nor a table with headings',
  );
}

function whatIsMissing({ at, columns }: ShotLayout): Problem | null {
  const seen = new Set<string>();
  for (const { meaning, heading } of columns) {
    if (
      meaning !== null &&
      seen.has(meaning) &&
      ['northing', 'easting', 'elevation', 'lat', 'lon'].includes(meaning)
    ) {
      return {
        code: 'duplicateColumn',
        row: null,
        column: heading,
        value: null,
        message: `a second column of ${meaning}; say which one counts`,
      };
    }
    if (meaning !== null) seen.add(meaning);
  }
  const hasGrid = at.northing >= 0 && at.easting >= 0;
  if (hasGrid || (at.lat >= 0 && at.lon >= 0)) return null;
  const column = at.northing < 0 ? 'northing' : 'easting';
  return {
    code: 'missingColumn',
    row: null,
    column,
    value: null,
    message: 'no column of it; a point needs northing and easting, or lat and lon',
  };
}

async function readBeginning(source: ByteSource, options: DelimitedOptions): Promise<Beginning | Problem> {
  const lines: { line: string; row: number; isComment: boolean }[] = [];
  let dataLines = 0;
  let row = 0;
  for await (const block of textBlocks(source, () => {})) {
    if ('problem' in block) {
      if (lines.length === 0) return block.problem;
      break;
    }
    const { text } = block;
    forEachLine(text, (start, end) => {
      row++;
      if (dataLines >= linesLookedAt || text.slice(start, end).trim() === '') return;
      const first = isComment(text, start, end, 0);
      if (!first) dataLines++;
      if (!first || lines.length < linesLookedAt)
        lines.push({ line: text.slice(start, end), row, isComment: first });
    });
    if (dataLines >= linesLookedAt) break;
  }
  // A semicolon at the start is a comment or an empty first field: the other lines say which.
  const semicolons = lines.filter(({ line }) => line.startsWith(';')).length;
  const isSemicolon = semicolons === lines.length;
  const data = lines.filter(({ isComment: is, line }) => (line.startsWith(';') ? isSemicolon : !is));
  if (data.length === 0) return refuseFile('empty', 'the file has no lines of data');
  return layOut(data, lines, options);
}

function layOut(
  data: { line: string; row: number }[],
  all: { line: string; row: number; isComment: boolean }[],
  options: DelimitedOptions,
): Beginning | Problem {
  const sniffed = sniffDialect(data.map(({ line }) => line));
  const dialect = options.mark === undefined ? sniffed : withMark(sniffed, options.mark);
  const lines = data.map(({ line }) => line);
  const rows = lines.map((line) => splitLine(line, dialect.delimiter));
  if (rows[0].length >= mostColumns) {
    return {
      code: 'tooManyColumns',
      row: data[0].row,
      column: null,
      value: null,
      message: `more than ${mostColumns} columns, which no point file or register has`,
    };
  }
  const at = findHeading(rows, dialect);
  if (at >= 0) {
    const withUnits = headingsWithUnits(rows[at], rows[at + 1] ?? []);
    const last = withUnits ? at + 1 : at;
    return {
      dialect,
      headings: withUnits ?? rows[at],
      headingRow: data[last].row,
      titles: at,
      lines: lines.slice(last + 1),
    };
  }
  // Some programs mark the line of headings as a comment.
  const marked = all.filter(({ isComment: is, row }) => is && row < data[0].row).at(-1);
  const fields = marked ? splitLine(marked.line.replace(/^(#|\/\/)\s*/, ''), dialect.delimiter) : [];
  const names = fields.filter((field) => readColumnHeading(field).meaning !== null).length;
  if (marked && names >= 3 && fields.length >= rows[0].length) {
    return { dialect, headings: fields, headingRow: marked.row, titles: 0, lines };
  }
  return { dialect, headings: null, headingRow: null, titles: 0, lines };
}

/** Headings with the units of a row of units under them; null where the next row is no such one. */
function headingsWithUnits(headings: readonly string[], next: readonly string[]): string[] | null {
  const units = next.map((field) => unitFromWord(field.replace(/^[([]|[)\]]$/g, '')));
  const written = next.filter((field) => field !== '' && field !== '-');
  const known = units.filter((unit) => unit !== null);
  if (next.length > headings.length || known.length < 2 || known.length < written.length) return null;
  return headings.map((heading, index) => (units[index] ? `${heading} (${units[index]})` : heading));
}

/** Headings may stand under a few lines of title; there they need names that are known. */
const mostTitles = 10;

function findHeading(rows: readonly string[][], dialect: Dialect): number {
  const usual = rows.map(({ length }) => length).sort((a, b) => a - b)[rows.length >> 1];
  const isFirst = isHeading(rows, dialect);
  if (isFirst && rows[0].length >= usual) return 0;
  for (let at = 1; at < Math.min(mostTitles, rows.length); at++) {
    const known = rows[at].filter((field) => isKnownHeading(readColumnHeading(field))).length;
    if (known >= 2 && rows[at].length >= usual && isHeading(rows.slice(at), dialect)) return at;
  }
  return isFirst ? 0 : -1;
}

function withMark(dialect: Dialect, mark: '.' | ','): Dialect {
  const code = mark.charCodeAt(0);
  const thousands = dialect.markInDoubt ? code !== dialect.mark || dialect.thousands : dialect.thousands;
  return { ...dialect, mark: code, thousands, markInDoubt: false };
}

async function* readShots(
  source: ByteSource,
  file: DelimitedFile,
  refuse: (problem: Problem) => void,
): AsyncGenerator<RawShot[]> {
  const { dialect, headingRow } = file;
  const rows = new ShotRows(file.layout!, dialect, refuse);
  let before = 0;
  for await (const block of textBlocks(source, refuse)) {
    if ('problem' in block) {
      refuse({ ...block.problem, row: before + 1 });
      return;
    }
    const { text } = block;
    const batch: RawShot[] = [];
    let count = 0;
    forEachLine(text, (start, end, line) => {
      count = line;
      const row = before + line;
      if (row <= (headingRow ?? 0) || isComment(text, start, end, dialect.delimiter)) return;
      const shot = rows.read(text, start, end, row);
      if (shot !== null) batch.push(shot);
    });
    before += count;
    if (batch.length > 0) yield batch;
  }
}

interface RegisterSource {
  source: ByteSource;
  file: DelimitedFile;
  headings: string[];
  reading: RepeatedReading;
}

function registerLayer({ source, file, headings, reading }: RegisterSource): OpenedFile['layers'][number] {
  return {
    name: source.name.replace(/\.[^.]*$/, ''),
    columns: headings.map((name) => ({ name: name.trim(), type: 'text' })),
    geometry: 'none',
    count: null,
    crs: null,
    features: () => readRecords(source, file, { columns: headings.length, refuse: reading.begin() }),
  };
}

async function* readRecords(
  source: ByteSource,
  { dialect, headingRow }: DelimitedFile,
  { columns, refuse }: { columns: number; refuse: (problem: Problem) => void },
): AsyncGenerator<RawFeature[]> {
  const rows = new TableRows(columns, dialect, refuse);
  let before = 0;
  for await (const block of textBlocks(source, refuse)) {
    if ('problem' in block) {
      refuse({ ...block.problem, row: before + 1 });
      break;
    }
    const { text } = block;
    const batch: RawFeature[] = [];
    let count = 0;
    forEachLine(text, (start, end, line) => {
      count = line;
      const row = before + line;
      if (row <= (headingRow ?? 0) || isComment(text, start, end, dialect.delimiter)) return;
      batch.push(...rows.read(text.slice(start, end), row));
    });
    before += count;
    if (batch.length > 0) yield batch;
  }
  const last = rows.end();
  if (last.length > 0) yield last;
}
