import { createHash } from 'node:crypto';
import { createReadStream, type ReadStream } from 'node:fs';
import { mkdir, open, rename, rm } from 'node:fs/promises';
import path from 'node:path';
import type { Readable } from 'node:stream';
import { type PartRefusal, sizeOf, writePart } from './folder.ts';

const hashPattern = /^[0-9a-f]{64}$/;
const agencyPattern = /^[a-z0-9][a-z0-9-]{0,62}$/;

interface PhotoKey {
  agencyId: string;
  sha256: string;
}

/** Pictures on disk, in a folder an agency, named by their hash; what is not all there yet ends in `.part`. */
export class PhotoFolder {
  readonly #root: string;
  readonly #busy = new Set<string>();

  constructor(dataFolder: string) {
    this.#root = path.join(dataFolder, 'photos');
  }

  async receivedBytes(key: PhotoKey): Promise<number> {
    return sizeOf(this.#partOf(key));
  }

  /** Adds a part from `offset` on, which has to be where the file ends. */
  async append(
    key: PhotoKey,
    { offset, mostBytes }: { offset: number; mostBytes: number },
    part: Readable,
  ): Promise<{ receivedBytes: number } | PartRefusal> {
    const file = this.#partOf(key);
    if (this.#busy.has(file)) return { refusal: 'busy' };
    this.#busy.add(file);
    try {
      const receivedBytes = await sizeOf(file);
      if (offset !== receivedBytes) return { refusal: 'offset', receivedBytes };
      await mkdir(path.dirname(file), { recursive: true, mode: 0o700 });
      return await writePart(file, { offset, sizeBytes: mostBytes }, part);
    } finally {
      this.#busy.delete(file);
    }
  }

  /** Whether what has come is what its hash says, and what its first bytes say it is. */
  async look(key: PhotoKey): Promise<{ isWhole: boolean; mediaType: string | null }> {
    const file = this.#partOf(key);
    const hash = createHash('sha256');
    for await (const chunk of createReadStream(file)) hash.update(chunk as Buffer);
    const handle = await open(file);
    try {
      const { buffer, bytesRead } = await handle.read(Buffer.alloc(12), 0, 12, 0);
      const first = buffer.subarray(0, bytesRead);
      return { isWhole: hash.digest('hex') === key.sha256, mediaType: mediaTypeOf(first) };
    } finally {
      await handle.close();
    }
  }

  /** Gives a part that is all there its lasting name; one step, so that nobody reads half of it. */
  async finish(key: PhotoKey): Promise<void> {
    await rename(this.#partOf(key), this.#fileOf(key)).catch((error: NodeJS.ErrnoException) => {
      // Another server was asked for the same and was quicker.
      if (error.code !== 'ENOENT') throw error;
    });
  }

  async drop(key: PhotoKey): Promise<void> {
    await rm(this.#partOf(key), { force: true });
  }

  read(key: PhotoKey): ReadStream {
    return createReadStream(this.#fileOf(key));
  }

  /** Bytes of a complete picture; 0 where it is not there. */
  async size(key: PhotoKey): Promise<number> {
    return sizeOf(this.#fileOf(key));
  }

  #fileOf({ agencyId, sha256 }: PhotoKey): string {
    // Nothing that a request says becomes part of a path unless it is one of these.
    if (!hashPattern.test(sha256) || !agencyPattern.test(agencyId))
      throw new Error('A photo is named by its agency and its hash');
    return path.join(this.#root, agencyId, sha256);
  }

  #partOf(key: PhotoKey): string {
    return `${this.#fileOf(key)}.part`;
  }
}

/**
 * What the first bytes of a file say it is; null for what is no picture that is taken. JPEG: ISO/IEC 10918-1 B.1.1.3 (start
 * of image, then a marker); PNG: W3C PNG, 5.2; WebP: RFC 9649, 2.4.
 */
export function mediaTypeOf(first: Buffer): string | null {
  if (first.length < 12) return null;
  if (first.readUIntBE(0, 3) === 0xffd8ff) return 'image/jpeg';
  if (first.subarray(0, 8).equals(Buffer.from('\x89PNG\r\n\x1a\n', 'latin1'))) return 'image/png';
  const words = first.toString('latin1');
  return words.startsWith('RIFF') && words.slice(8, 12) === 'WEBP' ? 'image/webp' : null;
}
