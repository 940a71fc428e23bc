import type { Problem } from '../problem.ts';
import { entryChunks, ZipFault } from './inflate.ts';
import { refuseFile, shorten } from './problemLog.ts';
import { extensionOf } from './stem.ts';
import type { ByteSource } from './types.ts';
import { readZipDirectory, type ZipEntry } from './zipDirectory.ts';

export interface ZipOptions {
  /** Bytes of all files together that are held in memory; default 64 MB. */
  memoryBytes?: number;
  /** Keeps the bytes of a large entry where they can be read at will, e.g. in a temporary file. */
  keep?: (name: string, size: number, chunks: AsyncIterable<Uint8Array>) => Promise<ByteSource>;
}

/** Files beyond this go to `keep` or are expanded anew at each reading. */
const mostInMemory = 64 << 20;
/** A file this large is opened however well it was compressed. */
const harmlessBytes = 8 << 20;
const mostExpanded = 2 ** 31;
/** Coordinates and padded tables shrink to a twentieth or less; beyond this an archive is a trap. */
const mostRatio = 100;
const nested = new Set(['zip', 'kmz', '7z', 'rar', 'gz', 'tgz', 'tar', 'bz2', 'xz', 'zst']);
/** Extensions that some reader knows; everything else in an archive is left alone. */
const known = new Set(
  'shp shx dbf prj cpg csv txt tsv asc pnt pts xyz xml landxml geojson json geojsonl geojsons ndjson gpkg dxf tif tiff'.split(
    ' ',
  ),
);

export function isZip(head: Uint8Array): boolean {
  return (
    head[0] === 0x50 &&
    head[1] === 0x4b &&
    ((head[2] === 3 && head[3] === 4) || (head[2] === 5 && head[3] === 6))
  );
}

/**
 * Opens an archive: every file in it that a reader may know, by its base name, checked against its size and checksum.
 * Bounded whatever it claims; an archive with anything hostile in it is refused as a whole in one line.
 */
export async function openZip(source: ByteSource, options: ZipOptions = {}): Promise<ByteSource[] | Problem> {
  const directory = await readZipDirectory(source);
  if ('code' in directory) return directory;
  const entries = directory.filter((entry) => !isHidden(entry.path));
  const refusal = refuseEntries(entries, source.size);
  if (refusal !== null) return refusal;
  const used = entries.filter(({ path }) => isKnown(path));
  if (used.length === 0) return refuseFile('zipEmpty', 'the archive holds no file that can be read here');
  const files: ByteSource[] = [];
  let inMemory = 0;
  for (const entry of used) {
    const held = inMemory + entry.expandedBytes <= (options.memoryBytes ?? mostInMemory);
    if (held) inMemory += entry.expandedBytes;
    try {
      files.push(await openEntry(source, entry, held, options.keep));
    } catch (error) {
      if (!(error instanceof ZipFault)) throw error;
      return refuseFile(
        'zipDamaged',
        `a file of the archive is damaged: ${error.message}`,
        shorten(entry.path),
      );
    }
  }
  return files;
}

const baseName = (path: string) => path.slice(path.lastIndexOf('/') + 1);

/** Folders, and what desktop systems leave behind. */
function isHidden(path: string): boolean {
  return path.endsWith('/') || /(^|\/)__MACOSX\//.test(path) || baseName(path).startsWith('.');
}

function isKnown(path: string): boolean {
  return known.has(extensionOf(path)) && !/\.(shp|aux|tif|tiff)\.xml$/i.test(path);
}

function refuseEntries(entries: readonly ZipEntry[], archiveBytes: number): Problem | null {
  const names = new Map<string, string>();
  let expanded = 0;
  for (const entry of entries) {
    const { path, expandedBytes, compressedBytes } = entry;
    const refuse = (code: string, message: string) => refuseFile(code, message, shorten(path));
    if (isOutside(path)) return refuse('zipPath', 'the archive names a place outside itself');
    if (nested.has(extensionOf(path)))
      return refuse('zipNested', 'an archive inside an archive; unpack it first');
    if (!isKnown(path)) continue;
    if (entry.encrypted) return refuse('zipEncrypted', 'the archive is encrypted');
    if (entry.method !== 0 && entry.method !== 8)
      return refuse(
        'zipMethod',
        `compressed by method ${entry.method}, which is not read; pack it as a plain zip`,
      );
    expanded += expandedBytes;
    const allowance = Math.max(harmlessBytes, compressedBytes * mostRatio);
    if (
      expandedBytes > allowance ||
      expanded > mostExpanded ||
      expanded > Math.max(mostInMemory, archiveBytes * mostRatio)
    )
      return refuse(
        'zipTooLarge',
        `the archive claims to expand to ${Math.round(expanded / 1e6)} MB, over the limit of ${mostRatio} times its size or 2 GB`,
      );
    const name = baseName(path).toLowerCase();
    if (names.has(name))
      return refuse(
        'zipDuplicate',
        `the archive holds two files called ${baseName(path)}; send them one at a time`,
      );
    names.set(name, path);
  }
  return null;
}

function isOutside(path: string): boolean {
  const hasControl = [...path].some((letter) => letter < ' ');
  return hasControl || path.startsWith('/') || /^[a-z]:/i.test(path) || path.split('/').includes('..');
}

async function openEntry(
  source: ByteSource,
  entry: ZipEntry,
  inMemory: boolean,
  keep: ZipOptions['keep'],
): Promise<ByteSource> {
  const name = baseName(entry.path);
  const size = entry.expandedBytes;
  if (inMemory) return memorySource(name, await collect(entryChunks(source, entry), size));
  if (keep) return keep(name, size, entryChunks(source, entry));
  for await (const _ of entryChunks(source, entry));
  return expandingSource(name, size, () => entryChunks(source, entry));
}

async function collect(chunks: AsyncIterable<Uint8Array>, size: number): Promise<Uint8Array> {
  const whole = new Uint8Array(size);
  let at = 0;
  for await (const chunk of chunks) {
    whole.set(chunk, at);
    at += chunk.length;
  }
  return whole;
}

/** A file that is wholly in memory. */
export function memorySource(name: string, bytes: Uint8Array): ByteSource {
  return {
    name,
    size: bytes.length,
    bytes: async (offset, length) => bytes.subarray(offset, offset + length),
    async *chunks() {
      yield bytes;
    },
  };
}

/** Reads forward through a stream and starts it again for what lies behind. */
function expandingSource(name: string, size: number, open: () => AsyncGenerator<Uint8Array>): ByteSource {
  let stream = open();
  let held: Uint8Array = new Uint8Array(0);
  let heldAt = 0;
  const bytes = async (offset: number, length: number): Promise<Uint8Array> => {
    if (offset < heldAt) {
      await stream.return(undefined);
      stream = open();
      held = new Uint8Array(0);
      heldAt = 0;
    }
    const wanted = new Uint8Array(Math.max(0, Math.min(length, size - offset)));
    let filled = 0;
    while (filled < wanted.length) {
      const from = offset + filled - heldAt;
      if (from < held.length) {
        const part = held.subarray(from, from + wanted.length - filled);
        wanted.set(part, filled);
        filled += part.length;
        continue;
      }
      heldAt += held.length;
      held = (await stream.next()).value ?? new Uint8Array(0);
      if (held.length === 0) break;
    }
    return wanted.subarray(0, filled);
  };
  return { name, size, bytes, chunks: open };
}
