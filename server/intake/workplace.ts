import { createReadStream } from 'node:fs';
import { mkdtemp, open, rm, stat, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { basename, join } from 'node:path';
import type { ByteSource } from '#core/intake/types.ts';

/** A source that is a file of this machine. */
export interface FileSource extends ByteSource {
  path: string;
}

/** A file read where it is wanted; it is open only while it is being read. @throws where it cannot be read */
export async function fileSource(path: string, name = basename(path)): Promise<FileSource> {
  const { size } = await stat(path);
  return {
    name,
    size,
    path,
    async bytes(offset, length) {
      const wanted = new Uint8Array(Math.max(0, Math.min(length, size - offset)));
      const file = await open(path, 'r');
      try {
        let filled = 0;
        while (filled < wanted.length) {
          const { bytesRead } = await file.read(wanted, filled, wanted.length - filled, offset + filled);
          if (bytesRead === 0) break;
          filled += bytesRead;
        }
        return wanted.subarray(0, filled);
      } finally {
        await file.close();
      }
    },
    chunks: () => createReadStream(path, { highWaterMark: 1 << 18 }),
  };
}

/** A temporary folder of one intake, closed to other accounts. Whoever makes it removes it. */
export class Workplace {
  readonly #folder: string;
  #files = 0;

  private constructor(folder: string) {
    this.#folder = folder;
  }

  static async make(): Promise<Workplace> {
    return new Workplace(await mkdtemp(join(tmpdir(), 'rimplane-intake-')));
  }

  /** Writes the chunks to a file of their own. The name is only what the source is called, never a path. */
  async keep(name: string, chunks: AsyncIterable<Uint8Array>): Promise<FileSource> {
    const path = join(this.#folder, String(++this.#files));
    await writeFile(path, chunks, { mode: 0o600 });
    return fileSource(path, name);
  }

  async remove(): Promise<void> {
    await rm(this.#folder, { recursive: true, force: true });
  }
}
