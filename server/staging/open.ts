import type { ShotMeaning } from '#core/intake/delimited/headings.ts';
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
  whole: OpenedFile;
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
}: Opening): Promise<OpenedImport | Problem> {
  const sources = await Promise.all(
    record.files.map(async ({ number, name }) =>
      watch(await fileSource(uploads.pathOf(record.importId, number), name)),
    ),
  );
  const opened = await openFiles(sources, workplace);
  if ('code' in opened) return opened;
  const file = await openAsSaid(opened, sources, { record, given });
  if ('code' in file) return file;
  const parts = partsOf(file);
  const wanted = given.part ?? (record.target.kind ? { kind: record.target.kind, name: null } : null);
  const narrowed = narrow(file, wanted);
  return { file: given.isLonLat ? asLonLat(narrowed) : narrowed, whole: file, sources, parts };
}

/** Delimited text can be read in several ways; the headings, the order of columns and the decimal mark may be given. */
async function openAsSaid(
  opened: OpenedFile,
  sources: readonly ByteSource[],
  { record, given }: Pick<Opening, 'record' | 'given'>,
): Promise<OpenedFile | Problem> {
  if (!('dialect' in opened) || sources.length !== 1) return opened;
  const options: DelimitedOptions = {};
  if (given.mark) options.mark = given.mark;
  const kind = given.part?.kind ?? record.target.kind;
  if (kind === 'shots' || kind === 'structures') options.as = kind;
  const { layout } = opened as DelimitedFile;
  const { meanings = {} } = given.said;
  if (layout?.columns.some(({ heading }) => Object.hasOwn(meanings, heading))) {
    options.order = layout.columns.map(({ heading, meaning }) =>
      Object.hasOwn(meanings, heading) ? (meanings[heading] as ShotMeaning | null) : meaning,
    );
  }
  return Object.keys(options).length > 0 ? openDelimited(sources[0], options) : opened;
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
