import { readColumnHeading, type ShotMeaning } from '#core/intake/delimited/headings.ts';
import { type DelimitedFile, type DelimitedOptions, openDelimited } from '#core/intake/delimited.ts';
import type { ByteSource, CrsStatement, OpenedFile } from '#core/intake/types.ts';
import type { Problem } from '#core/problem.ts';
import { openFiles } from '../intake/readers.ts';
import { type FileSource, fileSource, type Workplace } from '../intake/workplace.ts';
import type { ImportRecord } from '../store/staging/batches.ts';
import type { UploadFolder } from '../uploads/folder.ts';
import type { Given } from './answers.ts';

/** An uploaded file, opened as it was said to be read. */
export interface OpenedImport {
  /** Only the part that is to be stored. */
  file: OpenedFile;
  /** Headings of a table; empty where the file has none. */
  headings: string[];
  sources: ByteSource[];
  /** Kinds of parts in the whole file, for a question which one is meant. */
  parts: Part[];
}

/** What one import can store. `name` is null where all of a kind go together. */
export interface Part {
  kind: 'shots' | 'structures' | 'design' | 'lines' | 'grid';
  name: string | null;
}

export interface Opening {
  uploads: UploadFolder;
  record: ImportRecord;
  given: Given;
  workplace: Workplace;
  /** Counts what is read of a source. */
  watch?: (source: FileSource) => FileSource;
}

export async function openImport({
  uploads,
  record,
  given,
  workplace,
  watch = (source) => source,
}: Opening): Promise<OpenedImport | Problem | Unmapped> {
  const sources = await Promise.all(
    record.files.map(async ({ number, name }) =>
      watch(await fileSource(uploads.pathOf(record.importId, number), name)),
    ),
  );
  const opened = await openFiles(sources, workplace);
  const found = await openAsSaid(opened, sources, { record, given });
  if ('code' in found) return found;
  const { file, headings } = found;
  const parts = partsOf(file);
  const wanted = given.part ?? (record.target.kind ? { kind: record.target.kind, name: null } : null);
  const narrowed = narrow(file, wanted);
  return { file: given.isLonLat ? asLonLat(narrowed) : narrowed, headings, sources, parts };
}

/** Its columns are not known well enough to read it; nobody said yet what they mean. */
export interface Unmapped extends Problem {
  headings: string[];
}

interface Said {
  file: OpenedFile;
  headings: string[];
}

/** Delimited text can be read in several ways: what columns mean, and which mark is the decimal one, may be given. */
async function openAsSaid(
  opened: OpenedFile | Problem,
  sources: readonly ByteSource[],
  { record, given }: Pick<Opening, 'record' | 'given'>,
): Promise<Said | Problem | Unmapped> {
  const isText = 'code' in opened ? unmappable.has(opened.code) : 'dialect' in opened;
  if (!isText || sources.length !== 1) {
    if ('code' in opened) return opened;
    return { file: opened, headings: opened.layers[0]?.columns.map(({ name }) => name) ?? [] };
  }
  const headings = 'code' in opened ? await headingsOf(sources[0]) : headingsIn(opened as DelimitedFile);
  const options: DelimitedOptions = {};
  if (given.mark) options.mark = given.mark;
  const kind = given.part?.kind ?? record.target.kind;
  if (kind === 'shots' || kind === 'structures') options.as = kind;
  const isRegister = 'layers' in opened && opened.layers.length > 0;
  const order = kind === 'structures' || (isRegister && kind !== 'shots') ? null : orderSaid(headings, given);
  if (order) options.order = order;
  if (Object.keys(options).length === 0 && !('code' in opened)) return { file: opened, headings };
  const file = await openDelimited(sources[0], options);
  if (!('code' in file)) return { file: withHeadings(file, headings), headings };
  return unmappable.has(file.code) && headings.length > 0 ? { ...file, headings } : file;
}

const unmappable: ReadonlySet<string> = new Set(['missingColumn', 'duplicateColumn']);

function headingsIn({ headingRow, layout, layers }: DelimitedFile): string[] {
  if (headingRow === null) return [];
  return layout?.columns.map(({ heading }) => heading) ?? layers[0]?.columns.map(({ name }) => name) ?? [];
}

async function headingsOf(source: ByteSource): Promise<string[]> {
  const table = await openDelimited(source, { as: 'structures' });
  return 'code' in table ? [] : headingsIn(table);
}

/** Columns in the order of the file where something was said of them; what was not said is as the heading has it. */
function orderSaid(headings: readonly string[], { said }: Given): (ShotMeaning | null)[] | null {
  const { meanings = {} } = said;
  if (!headings.some((heading) => Object.hasOwn(meanings, heading))) return null;
  const taken = new Set(Object.values(meanings));
  return headings.map((heading) => {
    if (Object.hasOwn(meanings, heading)) return meanings[heading] as ShotMeaning | null;
    const { meaning } = readColumnHeading(heading);
    return taken.has(meaning) ? null : meaning;
  });
}

/** An order that was given names its columns by their meanings; people know them by their headings. */
function withHeadings(file: DelimitedFile, headings: readonly string[]): DelimitedFile {
  if (!file.layout || headings.length === 0) return file;
  const columns = file.layout.columns.map((column, index) => {
    const { heading = column.heading, unit = column.unit } = headings[index]
      ? readColumnHeading(headings[index])
      : {};
    return { ...column, heading, unit };
  });
  file.layout = { ...file.layout, columns };
  return file;
}

/** The parts that understand would choose from, in its order. */
function partsOf({ tins, grids, layers, points, lines }: OpenedFile): Part[] {
  const parts: Part[] = [];
  if (tins.some(({ faces }) => faces.length > 0)) parts.push({ kind: 'design', name: null });
  for (const { name } of grids) parts.push({ kind: 'grid', name });
  const isLines = (geometry: string) => geometry === 'line' || geometry === 'polygon';
  for (const { name, geometry, count } of layers) {
    if (count !== 0 && !isLines(geometry)) parts.push({ kind: 'structures', name });
  }
  for (const { name, count } of points) if (count !== 0) parts.push({ kind: 'shots', name });
  if (lines.length > 0) parts.push({ kind: 'lines', name: null });
  for (const { name, geometry, count } of layers) {
    if (count !== 0 && isLines(geometry)) parts.push({ kind: 'lines', name });
  }
  return parts;
}

function narrow(file: OpenedFile, wanted: { kind: string; name: string | null } | null): OpenedFile {
  if (wanted === null) return file;
  const { kind, name } = wanted;
  const named = <Item extends { name: string }>(items: Item[]): Item[] =>
    name === null ? items : items.filter((item) => item.name === name);
  const isLines = (geometry: string) => geometry === 'line' || geometry === 'polygon';
  return {
    ...file,
    tins: kind === 'design' ? file.tins : [],
    grids: kind === 'grid' ? named(file.grids) : [],
    points: kind === 'shots' ? named(file.points) : [],
    layers:
      kind === 'structures' || kind === 'lines'
        ? named(file.layers.filter(({ geometry }) => isLines(geometry) === (kind === 'lines')))
        : [],
    lines: kind === 'lines' && name === null ? file.lines : [],
  };
}

const saidLonLat: CrsStatement = { epsg: 4326, text: 'EPSG:4326', from: 'answer' };

function asLonLat(file: OpenedFile): OpenedFile {
  return { ...file, crs: saidLonLat, layers: file.layers.map((layer) => ({ ...layer, crs: saidLonLat })) };
}
