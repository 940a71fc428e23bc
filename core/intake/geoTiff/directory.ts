import type { Problem } from '../../problem.ts';
import { counted } from '../../units/count.ts';
import { fault } from '../faults.ts';
import type { ByteSource } from '../types.ts';

/** Bytes of one value by TIFF 6.0 field type, and of the three types that BigTIFF adds. */
const typeSizes: Readonly<Record<number, number>> = {
  1: 1,
  2: 1,
  3: 2,
  4: 4,
  5: 8,
  6: 1,
  7: 1,
  8: 2,
  9: 4,
  10: 8,
  11: 4,
  12: 8,
  13: 4,
  16: 8,
  17: 8,
  18: 8,
};
const mostEntries = 1000;

interface Entry {
  type: number;
  count: number;
  /** Where its values stand. */
  offset: number;
}

/** Tags that the checks look at (TIFF 6.0). */
export const tags = {
  width: 256,
  height: 257,
  bitsPerSample: 258,
  compression: 259,
  photometric: 262,
  stripOffsets: 273,
  samplesPerPixel: 277,
  rowsPerStrip: 278,
  stripByteCounts: 279,
  planarConfiguration: 284,
  tileWidth: 322,
  tileHeight: 323,
  tileOffsets: 324,
  tileByteCounts: 325,
  sampleFormat: 339,
} as const;

/**
 * The first image directory of a TIFF file, with every claim held against the size of the file before anything is
 * made room for.
 */
export class TiffDirectory {
  readonly #source: ByteSource;
  readonly #entries: ReadonlyMap<number, Entry>;
  readonly #littleEndian: boolean;

  constructor(source: ByteSource, entries: ReadonlyMap<number, Entry>, littleEndian: boolean) {
    this.#source = source;
    this.#entries = entries;
    this.#littleEndian = littleEndian;
  }

  has(tag: number): boolean {
    return this.#entries.has(tag);
  }

  count(tag: number): number {
    return this.#entries.get(tag)?.count ?? 0;
  }

  /** The first values of a tag, at most `most`; empty where it is absent or no number. */
  async numbers(tag: number, most: number): Promise<number[]> {
    const entry = this.#entries.get(tag);
    if (!entry) return [];
    const size = typeSizes[entry.type];
    const count = Math.min(most, entry.count);
    const view = viewOf(await this.#source.bytes(entry.offset, count * size));
    const values: number[] = [];
    for (let i = 0; i < count && (i + 1) * size <= view.byteLength; i++)
      values.push(readValue(view, i * size, entry.type, this.#littleEndian));
    return values;
  }

  async number(tag: number, otherwise: number): Promise<number> {
    return (await this.numbers(tag, 1))[0] ?? otherwise;
  }
}

const viewOf = (bytes: Uint8Array) => new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);

function readValue(view: DataView, at: number, type: number, little: boolean): number {
  if (type === 3) return view.getUint16(at, little);
  if (type === 4 || type === 13) return view.getUint32(at, little);
  if (type === 8) return view.getInt16(at, little);
  if (type === 9) return view.getInt32(at, little);
  if (type === 11) return view.getFloat32(at, little);
  if (type === 12) return view.getFloat64(at, little);
  if (type === 16 || type === 18) return Number(view.getBigUint64(at, little));
  if (type === 1 || type === 2 || type === 7) return view.getUint8(at);
  return Number.NaN;
}

export async function readDirectory(source: ByteSource): Promise<TiffDirectory | Problem> {
  const head = viewOf(await source.bytes(0, 16));
  const order = head.byteLength >= 16 ? head.getUint16(0) : 0;
  const little = order === 0x4949;
  const version = head.byteLength >= 16 ? head.getUint16(2, little) : 0;
  if ((order !== 0x4949 && order !== 0x4d4d) || (version !== 42 && version !== 43))
    return fault({ code: 'notTiff', message: 'not a TIFF file: its first bytes are not those of one' });
  const big = version === 43;
  const at = big ? Number(head.getBigUint64(8, little)) : head.getUint32(4, little);
  const countSize = big ? 8 : 2;
  const entrySize = big ? 20 : 12;
  const countBytes = at < source.size ? viewOf(await source.bytes(at, countSize)) : null;
  if (!countBytes || countBytes.byteLength < countSize) return damaged('its directory lies past its end');
  const count = big ? Number(countBytes.getBigUint64(0, little)) : countBytes.getUint16(0, little);
  if (count === 0 || count > mostEntries) return damaged(`its directory claims ${count} entries`);
  const view = viewOf(await source.bytes(at + countSize, count * entrySize));
  if (view.byteLength < count * entrySize) return damaged('its directory is cut off');
  const entries = new Map<number, Entry>();
  for (let i = 0; i < count; i++) {
    const place = i * entrySize;
    const tag = view.getUint16(place, little);
    const type = view.getUint16(place + 2, little);
    const values = big ? Number(view.getBigUint64(place + 4, little)) : view.getUint32(place + 4, little);
    const valueAt = place + (big ? 12 : 8);
    const bytes = values * (typeSizes[type] ?? Number.NaN);
    // A type that is not known is left to be ignored, as TIFF asks.
    if (Number.isNaN(bytes)) continue;
    const isHere = bytes <= (big ? 8 : 4);
    const pointer = big ? Number(view.getBigUint64(valueAt, little)) : view.getUint32(valueAt, little);
    const offset = isHere ? at + countSize + valueAt : pointer;
    if (offset + bytes > source.size)
      return damaged(
        `tag ${tag} claims ${counted(values, 'value, which runs', 'values, which run')} past the end of the file`,
      );
    entries.set(tag, { type, count: values, offset });
  }
  return new TiffDirectory(source, entries, little);
}

export function damaged(why: string): Problem {
  return fault({ code: 'damaged', message: `the TIFF file is damaged: ${why}` });
}
