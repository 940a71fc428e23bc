import { delimitedReader } from '#core/intake/delimited.ts';
import { dxfReader } from '#core/intake/dxf.ts';
import { geoJsonReader } from '#core/intake/geoJson.ts';
import { landXmlReader } from '#core/intake/landXml.ts';
import { refuseFile } from '#core/intake/problemLog.ts';
import { shapefileReader } from '#core/intake/shapefile.ts';
import type { ByteSource, OpenedFile, Reader } from '#core/intake/types.ts';
import type { Problem } from '#core/problem.ts';

/** Every format that a file may be in. */
export const readers: readonly Reader[] = [
  landXmlReader,
  geoJsonReader,
  shapefileReader,
  dxfReader,
  delimitedReader,
];

/** First bytes that a format is told from. */
const headBytes = 65_536;

/** Opens a file, or the parts of one, with the reader that is surest of it. */
export async function openFiles(files: readonly ByteSource[]): Promise<OpenedFile | Problem> {
  const [first] = files;
  if (first.size === 0) return refuseFile('empty', 'the file is empty');
  const reader = await readerOf(first);
  if (reader === null) {
    const known = readers.map(({ label }) => label).join(', ');
    return refuseFile('unknownFormat', `this is none of the formats that are read: ${known}`);
  }
  return reader.open(files);
}

export async function readerOf(source: ByteSource): Promise<Reader | null> {
  const head = await source.bytes(0, Math.min(headBytes, source.size));
  let best: { reader: Reader; sure: number } | null = null;
  for (const reader of readers) {
    const sure = reader.recognises(source.name, head);
    if (sure > 0 && (best === null || sure > best.sure)) best = { reader, sure };
  }
  return best?.reader ?? null;
}
