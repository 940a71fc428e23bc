import { delimitedReader } from '#core/intake/delimited.ts';
import { dxfReader } from '#core/intake/dxf.ts';
import { geoJsonReader } from '#core/intake/geoJson.ts';
import { geoTiffReader } from '#core/intake/geoTiff.ts';
import { landXmlReader } from '#core/intake/landXml.ts';
import { refuseFile } from '#core/intake/problemLog.ts';
import { shapefileReader } from '#core/intake/shapefile.ts';
import { extensionOf } from '#core/intake/stem.ts';
import type { ByteSource, OpenedFile, Reader } from '#core/intake/types.ts';
import { isZip, openZip } from '#core/intake/zip.ts';
import type { Problem } from '#core/problem.ts';
import { counted } from '#core/units/count.ts';
import { geoPackageReader } from './geoPackage.ts';
import type { Workplace } from './workplace.ts';

/** Every format that a file may be in. Large parts and databases are kept in the workplace while they are read. */
export function readersIn(workplace: Workplace): readonly Reader[] {
  return [
    landXmlReader,
    geoJsonReader,
    shapefileReader,
    geoPackageReader(workplace),
    geoTiffReader,
    dxfReader,
    delimitedReader,
  ];
}

/** First bytes that a format is told from. */
const headBytes = 65_536;
/** Documents that are archives inside. */
const workbooks = ['xlsx', 'xlsm', 'xlsb', 'ods'];
const mostNamed = 10;

/** Opens a file, the parts of one, or an archive of either, with the reader that is surest of it. */
export async function openFiles(
  files: readonly ByteSource[],
  workplace: Workplace,
): Promise<OpenedFile | Problem> {
  const [first] = files;
  if (first.size === 0) return refuseFile('empty', 'the file is empty');
  if (files.length > 1) return openOne(files, workplace);
  if (!isZip(await first.bytes(0, Math.min(4, first.size)))) return openOne(files, workplace);
  if (workbooks.includes(extensionOf(first.name))) {
    return refuseFile('workbook', 'a spreadsheet workbook is not read; save the sheet as CSV (UTF-8)');
  }
  const inside = await openZip(first, { keep: (name, _size, chunks) => workplace.keep(name, chunks) });
  return 'code' in inside ? inside : openArchive(inside, workplace);
}

/** The files of an archive: a shapefile's parts together, else the first file that a reader opens; others are named. */
async function openArchive(
  files: readonly ByteSource[],
  workplace: Workplace,
): Promise<OpenedFile | Problem> {
  const isPart = ({ name }: ByteSource): boolean => shapefileReader.extensions.includes(extensionOf(name));
  const parts = files.filter(isPart);
  const groups = parts.length > 0 ? [parts] : [];
  for (const file of files) if (!isPart(file)) groups.push([file]);
  let refusal: Problem | null = null;
  for (const [index, group] of groups.entries()) {
    const opened = await openOne(group, workplace);
    if ('code' in opened) {
      refusal ??= opened;
      continue;
    }
    const others = groups.filter((_, at) => at !== index).flatMap((left) => left.map(({ name }) => name));
    if (others.length > 0) {
      const named = others.slice(0, mostNamed).join(', ');
      const message = `the archive also holds ${counted(others.length, 'other file, which is', 'other files, which are')} not read: ${named}`;
      opened.problems.push(refuseFile('otherFiles', message));
    }
    return opened;
  }
  return refusal ?? refuseFile('zipEmpty', 'the archive holds no file that can be read here');
}

async function openOne(files: readonly ByteSource[], workplace: Workplace): Promise<OpenedFile | Problem> {
  if (files[0].size === 0) return refuseFile('empty', 'the file is empty', files[0].name);
  const readers = readersIn(workplace);
  const reader = await surest(readers, files[0]);
  if (reader !== null) return reader.open(files);
  const known = readers.map(({ label }) => label).join(', ');
  return refuseFile('unknownFormat', `this is none of the formats that are read: ${known}`);
}

/** The reader that is surest of a file; null where none knows it. */
async function surest(readers: readonly Reader[], source: ByteSource): Promise<Reader | null> {
  const head = await source.bytes(0, Math.min(headBytes, source.size));
  let best: { reader: Reader; sure: number } | null = null;
  for (const reader of readers) {
    const sure = reader.recognises(source.name, head);
    if (sure > 0 && (best === null || sure > best.sure)) best = { reader, sure };
  }
  return best?.reader ?? null;
}
