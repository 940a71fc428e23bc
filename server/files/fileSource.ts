import { createReadStream } from 'node:fs';
import { open } from 'node:fs/promises';
import { basename } from 'node:path';
import type { ByteSource } from '#core/intake/types.ts';

const chunkBytes = 1 << 18;

/** A file on disk as a source of bytes; it is opened for each reading. @throws where the file cannot be read */
export async function fileSource(path: string): Promise<ByteSource> {
  const file = await open(path);
  const { size } = await file.stat().finally(() => file.close());
  return {
    name: basename(path),
    size,
    async bytes(offset, length) {
      const wanted = Math.max(0, Math.min(length, size - offset));
      const into = new Uint8Array(wanted);
      const handle = await open(path);
      try {
        let read = 0;
        while (read < wanted) {
          const { bytesRead } = await handle.read(into, read, wanted - read, offset + read);
          if (bytesRead === 0) break;
          read += bytesRead;
        }
        return into.subarray(0, read);
      } finally {
        await handle.close();
      }
    },
    chunks: () => createReadStream(path, { highWaterMark: chunkBytes }),
  };
}
