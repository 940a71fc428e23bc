import { existsSync, readFileSync } from 'node:fs';
import { basename, join } from 'node:path';
import { crc32, deflateRawSync } from 'node:zlib';
import type { ByteSource, Layer, RawFeature } from '#core/intake/types.ts';
import { memorySource } from '#core/intake/zip.ts';

/** Files of the GIS formats built byte by byte, with invented values. */

export function textSource(name: string, text: string): ByteSource {
  return memorySource(name, new TextEncoder().encode(text));
}

/** The same bytes in chunks of a given size, so that records straddle them. */
export function chunked(source: ByteSource, size: number): ByteSource {
  return {
    ...source,
    async *chunks() {
      for (let at = 0; at < source.size; at += size) yield await source.bytes(at, size);
    },
  };
}

export async function featuresOf(layer: Layer): Promise<RawFeature[]> {
  const all: RawFeature[] = [];
  for await (const batch of layer.features()) all.push(...batch);
  return all;
}

export interface FieldSpec {
  name: string;
  type: string;
  length: number;
  decimals?: number;
}

export interface DbfSpec {
  fields: readonly FieldSpec[];
  /** Cells as they stand in the file, padded on the right. */
  rows: readonly (readonly (string | Uint8Array)[])[];
  deleted?: readonly number[];
  languageDriver?: number;
  /** Instead of the true number of records. */
  claims?: number;
}

export function dbfBytes({ fields, rows, deleted = [], languageDriver = 0, claims }: DbfSpec): Uint8Array {
  const recordBytes = 1 + fields.reduce((sum, { length }) => sum + length, 0);
  const headerBytes = 32 + fields.length * 32 + 1;
  const bytes = Buffer.alloc(headerBytes + rows.length * recordBytes + 1, 0x20);
  bytes.fill(0, 0, headerBytes);
  bytes[0] = 3;
  bytes.set([126, 1, 1], 1);
  bytes.writeUInt32LE(claims ?? rows.length, 4);
  bytes.writeUInt16LE(headerBytes, 8);
  bytes.writeUInt16LE(recordBytes, 10);
  bytes[29] = languageDriver;
  fields.forEach(({ name, type, length, decimals = 0 }, i) => {
    const at = 32 + i * 32;
    bytes.write(name.slice(0, 10), at, 'latin1');
    bytes.write(type, at + 11, 'latin1');
    bytes[at + 16] = length;
    bytes[at + 17] = decimals;
  });
  bytes[headerBytes - 1] = 0x0d;
  rows.forEach((row, r) => {
    let at = headerBytes + r * recordBytes;
    bytes[at++] = deleted.includes(r) ? 0x2a : 0x20;
    row.forEach((cell, i) => {
      const raw = typeof cell === 'string' ? Buffer.from(cell, 'utf8') : cell;
      bytes.set(raw.subarray(0, fields[i].length), at);
      at += fields[i].length;
    });
  });
  bytes[bytes.length - 1] = 0x1a;
  return bytes;
}

/** Contents of shapefile records. */
export const shape = {
  none: () => Buffer.alloc(4),
  point: (x: number, y: number) => doubles(1, [x, y]),
  pointZ: (x: number, y: number, z: number) => doubles(11, [x, y, z, 0]),
  multiPoint: (points: readonly (readonly [number, number])[]) =>
    Buffer.concat([doubles(8, [0, 0, 0, 0]), int32(points.length), plainDoubles(points.flat())]),
  parts: (type: 3 | 5 | 13, parts: readonly (readonly (readonly [number, number])[])[], z: number[] = []) => {
    let start = 0;
    const starts = parts.map((part) => {
      start += part.length;
      return int32(start - part.length);
    });
    return Buffer.concat([
      doubles(type, [0, 0, 0, 0]),
      int32(parts.length),
      int32(start),
      ...starts,
      plainDoubles(parts.flat(2)),
      ...(type === 13 ? [plainDoubles([0, 0, ...z])] : []),
    ]);
  },
};

function int32(value: number): Buffer {
  const bytes = Buffer.alloc(4);
  bytes.writeInt32LE(value);
  return bytes;
}

function plainDoubles(values: readonly number[]): Buffer {
  const bytes = Buffer.alloc(values.length * 8);
  values.forEach((value, i) => {
    bytes.writeDoubleLE(value, i * 8);
  });
  return bytes;
}

function doubles(type: number, values: readonly number[]): Buffer {
  return Buffer.concat([int32(type), plainDoubles(values)]);
}

export function shpBytes(type: number, records: readonly Uint8Array[]): { shp: Uint8Array; shx: Uint8Array } {
  const head = (size: number) => {
    const bytes = Buffer.alloc(100);
    bytes.writeInt32BE(9994, 0);
    bytes.writeInt32BE(size / 2, 24);
    bytes.writeInt32LE(1000, 28);
    bytes.writeInt32LE(type, 32);
    return bytes;
  };
  let at = 100;
  const body: Buffer[] = [];
  const index: Buffer[] = [];
  records.forEach((content, i) => {
    const header = Buffer.alloc(8);
    header.writeInt32BE(i + 1, 0);
    header.writeInt32BE(content.length / 2, 4);
    const entry = Buffer.from(header);
    entry.writeInt32BE(at / 2, 0);
    index.push(entry);
    body.push(header, Buffer.from(content));
    at += 8 + content.length;
  });
  return {
    shp: Buffer.concat([head(at), ...body]),
    shx: Buffer.concat([head(100 + records.length * 8), ...index]),
  };
}

export interface ZipSpec {
  path: string;
  bytes: Uint8Array;
  stored?: boolean;
  flags?: number;
  method?: number;
  /** Instead of the true size. */
  claims?: number;
}

export function zipBytes(entries: readonly ZipSpec[]): Uint8Array {
  const local: Buffer[] = [];
  const central: Buffer[] = [];
  let at = 0;
  for (const { path, bytes, stored = false, flags = 0x800, method, claims } of entries) {
    const name = Buffer.from(path, 'utf8');
    const data = stored ? Buffer.from(bytes) : deflateRawSync(bytes);
    const fields = Buffer.alloc(26);
    fields.writeUInt16LE(20, 0);
    fields.writeUInt16LE(flags, 2);
    fields.writeUInt16LE(method ?? (stored ? 0 : 8), 4);
    fields.writeUInt32LE(crc32(bytes), 10);
    fields.writeUInt32LE(data.length, 14);
    fields.writeUInt32LE(claims ?? bytes.length, 18);
    fields.writeUInt16LE(name.length, 22);
    local.push(signature(0x04034b50), fields, name, data);
    const tail = Buffer.alloc(14);
    tail.writeUInt32LE(at, 10);
    central.push(signature(0x02014b50), Buffer.from([20, 0]), fields, tail.subarray(0, 14), name);
    at += 30 + name.length + data.length;
  }
  const directory = Buffer.concat(central);
  const end = Buffer.alloc(18);
  end.writeUInt16LE(entries.length, 4);
  end.writeUInt16LE(entries.length, 6);
  end.writeUInt32LE(directory.length, 8);
  end.writeUInt32LE(at, 12);
  return Buffer.concat([...local, directory, signature(0x06054b50), end]);
}

function signature(value: number): Buffer {
  const bytes = Buffer.alloc(4);
  bytes.writeUInt32LE(value);
  return bytes;
}

const realFolder = join(import.meta.dirname, '../../../shared/data');
/** Whether the openly licensed real files stand beside the checkout; tests of them are skipped where not. */
export const hasRealFiles = existsSync(realFolder);

export function realSource(path: string): ByteSource {
  return memorySource(basename(path), readFileSync(join(realFolder, path)));
}
