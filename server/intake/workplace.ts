import { mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { ByteSource } from '#core/intake/types.ts';
import { fileSource } from './files.ts';

/** A source that is a file of this machine. */
export interface FileSource extends ByteSource {
  path: string;
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
    return { ...(await fileSource(path, name)), path };
  }

  async remove(): Promise<void> {
    await rm(this.#folder, { recursive: true, force: true });
  }
}
