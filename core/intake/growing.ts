/**
 * Typed columns that grow: numbers and texts of a large file without an object each. They grow by chunks, so that no
 * moment holds a column twice.
 */

const chunkBits = 16;
const chunkSize = 1 << chunkBits;
const firstCapacity = 64;
const inChunk = chunkSize - 1;

type Numbers = Float64Array | Uint32Array;

class Column<Values extends Numbers> {
  readonly #chunks: Values[] = [];
  readonly #make: new (
    length: number,
  ) => Values;
  length = 0;

  constructor(make: new (length: number) => Values) {
    this.#make = make;
  }

  push(value: number): void {
    const at = this.length++;
    const chunk = this.#chunks[at >>> chunkBits];
    if (chunk === undefined) this.#chunks.push(new this.#make(at === 0 ? firstCapacity : chunkSize));
    else if (at === chunk.length) {
      // Only the first chunk starts small: a file may hold ten thousand short columns.
      this.#chunks[0] = new this.#make(Math.min(chunkSize, 2 * at));
      this.#chunks[0].set(chunk as never);
    }
    this.#chunks[at >>> chunkBits][at & inChunk] = value;
  }

  at(index: number): number {
    return this.#chunks[index >>> chunkBits][index & inChunk];
  }

  set(index: number, value: number): void {
    this.#chunks[index >>> chunkBits][index & inChunk] = value;
  }

  /** The numbers before `length`, as an array of just that length. */
  done(length = this.length): Values {
    const all = new this.#make(length);
    this.#chunks.forEach((chunk, number) => {
      const start = number * chunkSize;
      if (start < length) all.set(chunk.subarray(0, Math.min(chunkSize, length - start)) as never, start);
    });
    return all;
  }
}

export class DoubleColumn extends Column<Float64Array> {
  constructor() {
    super(Float64Array);
  }
}

export class IndexColumn extends Column<Uint32Array> {
  constructor() {
    super(Uint32Array);
  }
}

const textChunk = 1 << 20;
/** Longer texts are kept as they are; there are few. */
const longestPacked = 255;

/** Texts as bytes, each with its length before it. */
export class TextColumn {
  readonly #chunks: Uint8Array[] = [];
  readonly #starts = new IndexColumn();
  readonly #long = new Map<number, string>();
  #end = textChunk;

  get length(): number {
    return this.#starts.length;
  }

  push(text: string): void {
    const most = 3 * text.length;
    if (most > longestPacked) {
      this.#long.set(this.length, ownText(text));
      this.#starts.push(0);
      return;
    }
    if (this.#end + 1 + most > textChunk) {
      this.#chunks.push(new Uint8Array(textChunk));
      this.#end = 0;
    }
    const chunk = this.#chunks[this.#chunks.length - 1];
    const { written } = encoder.encodeInto(text, chunk.subarray(this.#end + 1));
    chunk[this.#end] = written;
    this.#starts.push((this.#chunks.length - 1) * textChunk + this.#end);
    this.#end += 1 + written;
  }

  at(index: number): string {
    const long = this.#long.get(index);
    if (long !== undefined) return long;
    const start = this.#starts.at(index);
    const chunk = this.#chunks[Math.floor(start / textChunk)];
    const from = (start % textChunk) + 1;
    return decoder.decode(chunk.subarray(from, from + chunk[from - 1]));
  }
}

const encoder = new TextEncoder();
// A mark at the start of a text is a character of it.
const decoder = new TextDecoder('utf-8', { ignoreBOM: true });

/** Engines keep the whole text alive of which a long string was cut; this one holds only itself. */
export function ownText(text: string): string {
  return text.length < 13 ? text : decoder.decode(encoder.encode(text));
}
