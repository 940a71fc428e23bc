import type { ByteSource } from './types.ts';

/** Bytes asked of a source at a time. */
const windowSize = 1 << 18;

/**
 * Reads a source at rising offsets through one window, so that records of any size cost one pass over the file.
 * A range that runs past the end comes back short.
 */
export class ByteWindow {
  readonly #source: ByteSource;
  #start = 0;
  #bytes: Uint8Array = new Uint8Array(0);

  constructor(source: ByteSource) {
    this.#source = source;
  }

  get size(): number {
    return this.#source.size;
  }

  /** The bytes of [offset, offset + length), valid until the next call. */
  async read(offset: number, length: number): Promise<Uint8Array> {
    const wanted = Math.max(0, Math.min(length, this.#source.size - offset));
    const held = offset >= this.#start && offset + wanted <= this.#start + this.#bytes.length;
    if (!held) {
      this.#bytes = await this.#source.bytes(offset, Math.max(wanted, windowSize));
      this.#start = offset;
    }
    return this.#bytes.subarray(offset - this.#start, offset - this.#start + wanted);
  }
}

export function viewOf(bytes: Uint8Array): DataView {
  return new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
}
