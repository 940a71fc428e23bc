/** Typed columns that grow: numbers of a large file without an object a number. */

const firstCapacity = 64;

export class DoubleColumn {
  #values = new Float64Array(firstCapacity);
  length = 0;

  push(value: number): void {
    if (this.length === this.#values.length) this.#values = grown(this.#values, Float64Array);
    this.#values[this.length++] = value;
  }

  at(index: number): number {
    return this.#values[index];
  }

  /** The numbers pushed so far, as an array of just their length. */
  done(): Float64Array {
    return this.#values.slice(0, this.length);
  }
}

export class IndexColumn {
  #values = new Uint32Array(firstCapacity);
  length = 0;

  push(value: number): void {
    if (this.length === this.#values.length) this.#values = grown(this.#values, Uint32Array);
    this.#values[this.length++] = value;
  }

  at(index: number): number {
    return this.#values[index];
  }

  set(index: number, value: number): void {
    this.#values[index] = value;
  }

  /** The numbers before `length`, as an array of just that length. */
  done(length = this.length): Uint32Array {
    return this.#values.slice(0, length);
  }
}

function grown<T extends Float64Array | Uint32Array>(old: T, make: new (length: number) => T): T {
  const next = new make(Math.ceil(old.length * 1.6));
  next.set(old);
  return next;
}

const encoder = new TextEncoder();
const decoder = new TextDecoder();

/** Engines keep the whole text alive of which a long string was cut; this one holds only itself. */
export function ownText(text: string): string {
  return text.length < 13 ? text : decoder.decode(encoder.encode(text));
}
