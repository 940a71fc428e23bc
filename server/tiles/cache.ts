import { promisify } from 'node:util';
import { brotliDecompress, gunzip, zstdDecompress } from 'node:zlib';
import { type Coding, compress } from './compress.ts';

const expandGzip = promisify(gunzip);
const expandBrotli = promisify(brotliDecompress);
const expandZstd = promisify(zstdDecompress);

/** A tile that was encoded: as it is until somebody asks for a compressed form, then in the forms that were asked for. */
interface Held {
  tag: string;
  forms: Map<Coding, Uint8Array>;
  making: Map<Coding, Promise<Uint8Array>>;
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
    const held = { tag, forms: new Map(), making: new Map(), bytes: overhead };
    this.#held.set(name, held);
    this.#add(name, held, { coding: 'identity', bytes: tile });
  }

  /** The tile in one form; null where it is not held. An empty tile has no bytes in any. */
  async get(name: string, tag: string, coding: Coding): Promise<Uint8Array | null> {
    const held = this.#held.get(name);
    if (held?.tag !== tag) return null;
    this.#held.delete(name);
    this.#held.set(name, held);
    return held.forms.get(coding) ?? this.#other(name, held, coding);
  }

  /** A form that is not there yet. Whoever asks while it is made waits for that one. */
  async #other(name: string, held: Held, coding: Coding): Promise<Uint8Array> {
    if (coding === 'identity') return expand(held);
    const begun = held.making.get(coding);
    if (begun) return begun;
    const making = expand(held).then((plain) => (plain.length === 0 ? plain : compress(plain, coding)));
    held.making.set(coding, making);
    try {
      const made = await making;
      if (made.length > 0) this.#add(name, held, { coding, bytes: made });
      return made;
    } finally {
      held.making.delete(coding);
    }
  }

  #add(name: string, held: Held, { coding, bytes }: { coding: Coding; bytes: Uint8Array }): void {
    // It may have gone, or another taken its place, while this form was made.
    if (this.#held.get(name) !== held || held.forms.has(coding)) return;
    // Nearly everybody asks for compressed tiles, and three of them are as large as a plain one.
    const plain = coding === 'identity' ? undefined : held.forms.get('identity');
    if (plain) held.forms.delete('identity');
    held.forms.set(coding, bytes);
    const change = bytes.length - (plain?.length ?? 0);
    held.bytes += change;
    this.#bytes += change;
    for (const [oldest, { bytes: freed }] of this.#held) {
      if (this.#bytes <= this.#mostBytes || oldest === name) break;
      this.#held.delete(oldest);
      this.#bytes -= freed;
    }
  }
}

/** Bytes that an entry costs beside its forms, about. */
const overhead = 400;

/** A tile as it is, from whatever form it is held in. */
async function expand({ forms }: Held): Promise<Uint8Array> {
  const plain = forms.get('identity');
  if (plain) return plain;
  const zipped = forms.get('gzip');
  if (zipped) return expandGzip(zipped);
  const packed = forms.get('zstd');
  return packed ? expandZstd(packed) : expandBrotli(forms.get('br')!);
}
