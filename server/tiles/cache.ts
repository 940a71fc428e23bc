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
  tag: string;
  forms: Map<Coding, Uint8Array>;
  bytes: number;
}

/**
 * Tiles by their names, each of one revision, which its tag says: who asks names both, so that what is found here is never
 * outdated. Holds no more than so many bytes; what nobody asked for longest goes first.
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

  /** Whether there is a tile of that name, of whatever revision. */
  has(name: string): boolean {
    return this.#held.has(name);
  }

  put(name: string, tag: string, tile: Uint8Array): void {
    const before = this.#held.get(name);
    if (before?.tag === tag) return;
    this.#held.delete(name);
    this.#bytes += overhead - (before?.bytes ?? 0);
    const held = { tag, forms: new Map(), bytes: overhead };
    this.#held.set(name, held);
    this.#add(name, held, { coding: 'identity', bytes: tile });
  }

  /** The tile in one form; null where it is not held. An empty tile has no bytes in any. */
  async get(name: string, tag: string, coding: Coding): Promise<Uint8Array | null> {
    const held = this.#held.get(name);
    if (held?.tag !== tag) return null;
    this.#held.delete(name);
    this.#held.set(name, held);
    const known = held.forms.get(coding);
    if (known) return known;
    const plain = held.forms.get('identity')!;
    if (plain.length === 0) return plain;
    const made = await (coding === 'br'
      ? compressBrotli(plain, brotliOptions)
      : compressGzip(plain, gzipOptions));
    this.#add(name, held, { coding, bytes: made });
    return made;
  }

  #add(name: string, held: Held, { coding, bytes }: { coding: Coding; bytes: Uint8Array }): void {
    // It may have gone, or another taken its place, while this form was made.
    if (this.#held.get(name) !== held || held.forms.has(coding)) return;
    held.forms.set(coding, bytes);
    held.bytes += bytes.length;
    this.#bytes += bytes.length;
    for (const [oldest, { bytes: freed }] of this.#held) {
      if (this.#bytes <= this.#mostBytes || oldest === name) break;
      this.#held.delete(oldest);
      this.#bytes -= freed;
    }
  }
}

/** Bytes that an entry costs beside its forms, about. */
const overhead = 400;
