import type { Problem } from '../problem.ts';
import { viewOf } from './byteWindow.ts';
import { decoderOf } from './codePage.ts';
import { refuseFile, shorten } from './problemLog.ts';
import type { ByteSource } from './types.ts';

/** An entry of an archive as its central directory describes it. */
export interface ZipEntry {
  /** Path inside the archive, with `/` between folders. */
  path: string;
  /** 0 stored, 8 deflated. */
  method: number;
  encrypted: boolean;
  crc: number;
  compressedBytes: number;
  expandedBytes: number;
  /** Byte at which its local header starts. */
  offset: number;
}

/** No delivery of a survey crew comes near these. */
const mostEntries = 1000;
const mostDirectoryBytes = 1 << 20;
const endBytes = 22;
const mostComment = 0xffff;

interface Directory {
  entries: number;
  bytes: number;
  offset: number;
}

/** Reads the central directory. Source: PKWARE APPNOTE.TXT 6.3.10, sections 4.3.12 to 4.3.16 and 4.5.3. */
export async function readZipDirectory(source: ByteSource): Promise<ZipEntry[] | Problem> {
  const directory = await findDirectory(source);
  if ('code' in directory) return directory;
  const { entries, bytes, offset } = directory;
  if (entries > mostEntries)
    return refuseFile('zipEntries', `the archive claims ${entries} files; at most ${mostEntries} are opened`);
  if (bytes > mostDirectoryBytes || offset + bytes > source.size)
    return refuseFile('zipDamaged', 'the directory of the archive does not fit the file');
  const list = readEntries(await source.bytes(offset, bytes), entries);
  if (list === null) return refuseFile('zipDamaged', 'the directory of the archive is damaged');
  return checkPlaces(list, offset) ?? list;
}

async function findDirectory(source: ByteSource): Promise<Directory | Problem> {
  const start = Math.max(0, source.size - endBytes - mostComment);
  const tail = await source.bytes(start, source.size - start);
  const view = viewOf(tail);
  for (let at = tail.length - endBytes; at >= 0; at--) {
    if (view.getUint32(at, true) !== 0x06054b50) continue;
    if (at + endBytes + view.getUint16(at + 20, true) > tail.length) continue;
    const directory = {
      entries: view.getUint16(at + 10, true),
      bytes: view.getUint32(at + 12, true),
      offset: view.getUint32(at + 16, true),
    };
    const large =
      directory.entries === 0xffff || directory.bytes === 0xffffffff || directory.offset === 0xffffffff;
    return large ? findLargeDirectory(source, start + at) : directory;
  }
  return refuseFile('zipDamaged', 'not a zip archive, or its end is missing');
}

/** The directory of a zip64 archive, whose locator stands before the usual end. */
async function findLargeDirectory(source: ByteSource, end: number): Promise<Directory | Problem> {
  const damaged = refuseFile('zipDamaged', 'the zip64 directory of the archive does not fit the file');
  const locator = await source.bytes(Math.max(0, end - 20), 20);
  if (locator.length < 20 || viewOf(locator).getUint32(0, true) !== 0x07064b50) return damaged;
  const at = Number(viewOf(locator).getBigUint64(8, true));
  if (at + 56 > source.size) return damaged;
  const view = viewOf(await source.bytes(at, 56));
  if (view.getUint32(0, true) !== 0x06064b50) return damaged;
  return {
    entries: Number(view.getBigUint64(32, true)),
    bytes: Number(view.getBigUint64(40, true)),
    offset: Number(view.getBigUint64(48, true)),
  };
}

function readEntries(bytes: Uint8Array, count: number): ZipEntry[] | null {
  const view = viewOf(bytes);
  const entries: ZipEntry[] = [];
  let at = 0;
  for (let i = 0; i < count; i++) {
    if (at + 46 > bytes.length || view.getUint32(at, true) !== 0x02014b50) return null;
    const nameBytes = view.getUint16(at + 28, true);
    const extraBytes = view.getUint16(at + 30, true);
    const next = at + 46 + nameBytes + extraBytes + view.getUint16(at + 32, true);
    if (next > bytes.length) return null;
    const flags = view.getUint16(at + 8, true);
    const sizes = {
      expandedBytes: view.getUint32(at + 24, true),
      compressedBytes: view.getUint32(at + 20, true),
      offset: view.getUint32(at + 42, true),
    };
    const extra = bytes.subarray(at + 46 + nameBytes, at + 46 + nameBytes + extraBytes);
    if (!readLargeSizes(extra, sizes)) return null;
    entries.push({
      path: pathOf(bytes.subarray(at + 46, at + 46 + nameBytes), (flags & 0x800) !== 0),
      method: view.getUint16(at + 10, true),
      encrypted: (flags & 0x2041) !== 0,
      crc: view.getUint32(at + 16, true),
      ...sizes,
    });
    at = next;
  }
  return entries;
}

/** Replaces the sizes that zip64 keeps in the extra field 1; false where one is missing. */
function readLargeSizes(
  extra: Uint8Array,
  sizes: Pick<ZipEntry, 'expandedBytes' | 'compressedBytes' | 'offset'>,
): boolean {
  const wanted = (['expandedBytes', 'compressedBytes', 'offset'] as const).filter(
    (key) => sizes[key] === 0xffffffff,
  );
  if (wanted.length === 0) return true;
  const view = viewOf(extra);
  for (let at = 0; at + 4 <= extra.length; at += 4 + view.getUint16(at + 2, true)) {
    if (view.getUint16(at, true) !== 1) continue;
    if (at + 4 + wanted.length * 8 > extra.length) return false;
    wanted.forEach((key, i) => {
      sizes[key] = Number(view.getBigUint64(at + 4 + i * 8, true));
    });
    return true;
  }
  return false;
}

/** Names without the UTF-8 flag are that nevertheless, or in the code page of DOS. */
function pathOf(bytes: Uint8Array, utf8: boolean): string {
  try {
    return new TextDecoder('utf-8', { fatal: !utf8 }).decode(bytes).replaceAll('\\', '/');
  } catch {
    return decoderOf('cp437')!(bytes).replaceAll('\\', '/');
  }
}

/** Entries must lie one after the other before the directory: shared bytes are how small archives claim huge ones. */
function checkPlaces(entries: readonly ZipEntry[], directory: number): Problem | null {
  let free = 0;
  for (const { path, offset, compressedBytes } of [...entries].sort((a, b) => a.offset - b.offset)) {
    const end = offset + 30 + compressedBytes;
    if (offset < free || end > directory)
      return refuseFile('zipDamaged', 'files of the archive overlap or run past its end', shorten(path));
    free = end;
  }
  return null;
}
