import { type DelimitedFile, type DelimitedOptions, openDelimited } from '#core/intake/delimited.ts';
import type { ByteSource, RawFeature, RawShot } from '#core/intake/types.ts';
import { understand } from '#core/intake/understand.ts';
import type { CrsLookup, Said, Understanding } from '#core/intake/understanding.ts';

export function bytesFile(bytes: Uint8Array, { name = 'field.csv', chunk = 65_536 } = {}): ByteSource {
  return {
    name,
    size: bytes.length,
    bytes: async (offset, length) => bytes.subarray(offset, offset + length),
    async *chunks() {
      for (let at = 0; at < bytes.length; at += chunk) yield bytes.subarray(at, at + chunk);
    },
  };
}

export const textFile = (text: string, options?: { name?: string; chunk?: number }): ByteSource =>
  bytesFile(new TextEncoder().encode(text), options);

/** UTF-16 with or without its mark. */
export function utf16(text: string, { bigEndian = false, mark = true } = {}): Uint8Array {
  const marked = mark ? `\ufeff${text}` : text;
  const bytes = new Uint8Array(marked.length * 2);
  const view = new DataView(bytes.buffer);
  for (let i = 0; i < marked.length; i++) view.setUint16(2 * i, marked.charCodeAt(i), !bigEndian);
  return bytes;
}

/** @throws Error when the file is refused as a whole */
export async function opened(
  source: ByteSource | string,
  options?: DelimitedOptions,
): Promise<DelimitedFile> {
  const file = await openDelimited(typeof source === 'string' ? textFile(source) : source, options);
  if ('code' in file) throw new Error(`${file.code}: ${file.message}`);
  return file;
}

export async function shotsOf(file: DelimitedFile): Promise<RawShot[]> {
  const shots: RawShot[] = [];
  for (const set of file.points) for await (const batch of set.shots()) shots.push(...batch);
  return shots;
}

export async function recordsOf(file: DelimitedFile): Promise<RawFeature[]> {
  const records: RawFeature[] = [];
  for (const layer of file.layers) for await (const batch of layer.features()) records.push(...batch);
  return records;
}

/** A register of systems that knows none, for files whose system is given or beside the point. */
export const noLookup: CrsLookup = {
  find: () => null,
  isLonLat: (epsg) => epsg === 4326,
  match: () => ({ epsg: null, sure: false, candidates: [], reason: 'not looked up' }),
  zones: () => [],
};

/** @throws Error when nothing is understood */
export async function understood(
  source: ByteSource | string,
  said: Said = {},
  lookup = noLookup,
): Promise<Understanding> {
  const result = await understand(await opened(source), said, lookup);
  if ('code' in result) throw new Error(`${result.code}: ${result.message}`);
  return result;
}
