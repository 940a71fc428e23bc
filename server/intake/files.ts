import { type FileHandle, open, readdir, stat } from 'node:fs/promises';
import { basename, dirname, join } from 'node:path';
import type { ByteSource } from '#core/intake/types.ts';

const chunkBytes = 256 * 1024;

/** A file on disk. It is opened for every reading and closed after it, so nothing is left open. */
export async function fileSource(path: string, name = basename(path)): Promise<ByteSource> {
  const { size } = await stat(path);
  return {
    name,
    size,
    bytes: (offset, length) =>
      withFile(path, (file) => readAt(file, offset, Math.min(length, size - offset))),
    async *chunks() {
      const file = await open(path);
      try {
        for (let offset = 0; offset < size; ) {
          const bytes = await readAt(file, offset, Math.min(chunkBytes, size - offset));
          if (bytes.length === 0) return;
          offset += bytes.length;
          yield bytes;
        }
      } finally {
        await file.close();
      }
    },
  };
}

/** Bytes already in memory, as an upload is. */
export function memorySource(name: string, bytes: Uint8Array): ByteSource {
  return {
    name,
    size: bytes.length,
    bytes: async (offset, length) => bytes.subarray(offset, offset + length),
    async *chunks() {
      for (let offset = 0; offset < bytes.length; offset += chunkBytes) {
        yield bytes.subarray(offset, offset + chunkBytes);
      }
    },
  };
}

async function withFile<T>(path: string, work: (file: FileHandle) => Promise<T>): Promise<T> {
  const file = await open(path);
  try {
    return await work(file);
  } finally {
    await file.close();
  }
}

async function readAt(file: FileHandle, offset: number, length: number): Promise<Uint8Array> {
  if (length <= 0) return new Uint8Array(0);
  const bytes = new Uint8Array(length);
  let filled = 0;
  while (filled < length) {
    const { bytesRead } = await file.read(bytes, filled, length - filled, offset + filled);
    if (bytesRead === 0) break;
    filled += bytesRead;
  }
  return filled === length ? bytes : bytes.subarray(0, filled);
}

const shapefileParts = ['shp', 'shx', 'dbf', 'prj', 'cpg'];

/** A loose shapefile is several files of one name, in capitals or not; any other file stands alone. */
export async function sourcesOf(path: string): Promise<ByteSource[]> {
  const name = basename(path);
  const [, stem, extension] = /^(.*)\.([^.]*)$/.exec(name) ?? [];
  if (stem === undefined || !shapefileParts.includes(extension.toLowerCase()))
    return [await fileSource(path)];
  const beside = await readdir(dirname(path));
  const parts = beside.filter((other) => {
    const [, otherStem, otherExtension] = /^(.*)\.([^.]*)$/.exec(other) ?? [];
    return (
      otherStem?.toLowerCase() === stem.toLowerCase() && shapefileParts.includes(otherExtension.toLowerCase())
    );
  });
  const own = parts.filter((other) => other !== name).map((other) => join(dirname(path), other));
  return Promise.all([path, ...own].map((one) => fileSource(one)));
}
