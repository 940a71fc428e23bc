import { promisify } from 'node:util';
import { brotliCompress, constants, gzip } from 'node:zlib';

export type Coding = 'identity' | 'gzip' | 'br';

const compressGzip = promisify(gzip);
const compressBrotli = promisify(brotliCompress);

/** Levels at which a tile is a third of its size, and longer work would save little more. */
const gzipOptions = { level: 5 };
const brotliOptions = { params: { [constants.BROTLI_PARAM_QUALITY]: 4 } };

/** A tile that was encoded, and its compressed forms as far as somebody asked for them. */
interface Held {
  forms: Map<Coding, Uint8Array>;
  bytes: number;
}

/**
 * Tiles by their entity tags, which name the revision that they are of: what is found here is never outdated. Holds no
 * more than so many bytes; what nobody asked for longest goes first.
 */
export class TileCache {
  readonly #held = new Map<string, Held>();
  readonly #mostBytes: number;
  #bytes = 0;

  constructor(mostBytes: number) {
    this.#mostBytes = mostBytes;
  }

  get bytes(): number {
    return this.#bytes;
  }

  has(tag: string): boolean {
    return this.#held.has(tag);
  }

  put(tag: string, tile: Uint8Array): void {
    if (this.#held.has(tag)) return;
    this.#held.set(tag, { forms: new Map(), bytes: overhead });
    this.#bytes += overhead;
    this.#add(tag, 'identity', tile);
  }

  /** The tile in one form; null where it is not held. An empty tile has no bytes in any. */
  async get(tag: string, coding: Coding): Promise<Uint8Array | null> {
    const held = this.#held.get(tag);
    if (!held) return null;
    this.#held.delete(tag);
    this.#held.set(tag, held);
    const known = held.forms.get(coding);
    if (known) return known;
    const plain = held.forms.get('identity')!;
    if (plain.length === 0) return plain;
    const made = await (coding === 'br'
      ? compressBrotli(plain, brotliOptions)
      : compressGzip(plain, gzipOptions));
    this.#add(tag, coding, made);
    return made;
  }

  #add(tag: string, coding: Coding, bytes: Uint8Array): void {
    const held = this.#held.get(tag);
    if (!held || held.forms.has(coding)) return;
    held.forms.set(coding, bytes);
    held.bytes += bytes.length;
    this.#bytes += bytes.length;
    for (const [oldest, { bytes: freed }] of this.#held) {
      if (this.#bytes <= this.#mostBytes || oldest === tag) break;
      this.#held.delete(oldest);
      this.#bytes -= freed;
    }
  }
}

/** Bytes that an entry costs beside its forms, about. */
const overhead = 400;
