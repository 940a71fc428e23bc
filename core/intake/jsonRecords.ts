/**
 * Cuts JSON text into records without holding the file: members of the top-level objects, with the elements of one
 * array member (`features`) given one by one. Brackets are matched outside strings; what is inside a record is left to
 * JSON.parse.
 */

export interface JsonSink {
  /** A top-level object starts. */
  open(): void;
  /** A member of a top-level object, its value as JSON text. Not called for the array member. */
  member(key: string, value: string): void;
  /** An element of the array member. */
  element(text: string): void;
  /** A top-level object ends. */
  close(): void;
}

export interface JsonLimits {
  /** Brackets inside one another. */
  depth: number;
  /** Bytes of one record or member. */
  recordBytes: number;
}

export type JsonFault = { code: 'depth' | 'recordSize' | 'notJson' | 'truncated'; at: number };

const quote = 34;
const backslash = 92;
const comma = 44;
const colon = 58;
/** The only bytes that matter inside a value: quotes, brackets and commas. */
const matters = Uint8Array.from({ length: 256 }, (_, byte) =>
  Number('"[]{},'.includes(String.fromCharCode(byte))),
);

/** Where the scanner stands inside a top-level object. */
type Place = 'between' | 'beforeKey' | 'key' | 'beforeValue' | 'value' | 'elements' | 'element';

export class JsonRecords {
  readonly #sink: JsonSink;
  readonly #arrayMember: string;
  readonly #limits: JsonLimits;
  readonly #decoder = new TextDecoder('utf-8', { ignoreBOM: true });
  #place: Place = 'between';
  /** Brackets open, the top-level object included. */
  #depth = 0;
  #inString = false;
  #escaped = false;
  #key = '';
  /** Parts of the record from earlier chunks. */
  #parts: Uint8Array[] = [];
  #partBytes = 0;
  #offset = 0;

  constructor(sink: JsonSink, arrayMember: string, limits: JsonLimits) {
    this.#sink = sink;
    this.#arrayMember = arrayMember;
    this.#limits = limits;
  }

  /** Takes the next bytes of the file; a fault ends the reading. */
  push(chunk: Uint8Array): JsonFault | null {
    let start = this.#isRecording() ? 0 : -1;
    for (let i = 0; i < chunk.length; i++) {
      const byte = chunk[i];
      if (this.#inString) {
        i = this.#skipString(chunk, i);
        if (this.#inString || this.#place !== 'key') continue;
        const key = this.#take(chunk, start, i + 1);
        if (key === null) return { code: 'recordSize', at: this.#offset + i };
        this.#key = key;
        this.#place = 'beforeValue';
        start = -1;
        continue;
      }
      if (byte <= 32 || (start >= 0 && matters[byte] === 0)) continue;
      const fault = this.#step(byte, chunk, start, i);
      if (fault !== null) return { code: fault, at: this.#offset + i };
      if (!this.#isRecording()) start = -1;
      else if (start < 0) start = i;
    }
    if (start >= 0 && !this.#keep(chunk.subarray(start)))
      return { code: 'recordSize', at: this.#offset + chunk.length };
    this.#offset += chunk.length;
    return null;
  }

  end(): JsonFault | null {
    return this.#place === 'between' ? null : { code: 'truncated', at: this.#offset };
  }

  #isRecording(): boolean {
    return this.#place === 'key' || this.#place === 'value' || this.#place === 'element';
  }

  /** Index of the quote that closes the string, or of the last byte of the chunk. */
  #skipString(chunk: Uint8Array, from: number): number {
    for (let i = from; i < chunk.length; i++) {
      if (this.#escaped) this.#escaped = false;
      else if (chunk[i] === backslash) this.#escaped = true;
      else if (chunk[i] === quote) {
        this.#inString = false;
        return i;
      }
    }
    return chunk.length;
  }

  /** One significant byte outside strings. */
  #step(byte: number, chunk: Uint8Array, start: number, at: number): JsonFault['code'] | null {
    switch (this.#place) {
      case 'between':
        // RFC 8142 puts a record separator (0x1E, taken for white space here) before each text of a sequence.
        if (byte === comma) return null;
        if (byte !== 123) return 'notJson';
        this.#depth = 1;
        this.#place = 'beforeKey';
        this.#sink.open();
        return null;
      case 'beforeKey':
        if (byte === comma) return null;
        if (byte === 125) return this.#closeObject();
        if (byte !== quote) return 'notJson';
        this.#place = 'key';
        this.#inString = true;
        return null;
      case 'beforeValue':
        return this.#beforeValue(byte);
      case 'elements':
        if (byte === comma) return null;
        if (byte === 93) {
          this.#depth--;
          this.#place = 'beforeKey';
          return null;
        }
        this.#place = 'element';
        return this.#inside(byte, chunk, start, at);
      default:
        return this.#inside(byte, chunk, start, at);
    }
  }

  #beforeValue(byte: number): JsonFault['code'] | null {
    if (byte === colon) return null;
    if (byte === 91 && this.#parsedKey() === this.#arrayMember) {
      this.#depth++;
      this.#place = 'elements';
      return null;
    }
    this.#place = 'value';
    return this.#inside(byte, new Uint8Array(0), -1, 0);
  }

  /** A byte of a value or element: its end is a comma or a bracket at the depth it began at. */
  #inside(byte: number, chunk: Uint8Array, start: number, at: number): JsonFault['code'] | null {
    const base = this.#place === 'element' ? 2 : 1;
    if (byte === quote) this.#inString = true;
    else if (byte === 123 || byte === 91) {
      this.#depth++;
      if (this.#depth > this.#limits.depth) return 'depth';
    } else if (byte === 125 || byte === 93) {
      if (this.#depth === base) {
        return this.#emit(chunk, start, at) ?? this.#closing(byte);
      }
      this.#depth--;
    } else if (byte === comma && this.#depth === base) return this.#emit(chunk, start, at);
    return null;
  }

  #closing(byte: number): JsonFault['code'] | null {
    if (this.#place === 'elements') {
      if (byte !== 93) return 'notJson';
      this.#depth--;
      this.#place = 'beforeKey';
      return null;
    }
    return byte === 125 ? this.#closeObject() : 'notJson';
  }

  #closeObject(): null {
    this.#depth = 0;
    this.#place = 'between';
    this.#sink.close();
    return null;
  }

  #emit(chunk: Uint8Array, start: number, end: number): JsonFault['code'] | null {
    const text = this.#take(chunk, start, end);
    if (text === null) return 'recordSize';
    if (this.#place === 'element') {
      this.#place = 'elements';
      this.#sink.element(text);
    } else {
      this.#place = 'beforeKey';
      this.#sink.member(this.#parsedKey(), text);
    }
    return null;
  }

  #parsedKey(): string {
    try {
      return String(JSON.parse(this.#key));
    } catch {
      return this.#key;
    }
  }

  #keep(part: Uint8Array): boolean {
    this.#partBytes += part.length;
    if (this.#partBytes > this.#limits.recordBytes) return false;
    this.#parts.push(part.slice());
    return true;
  }

  /** The text of the record that ends here; null where it is over the limit. */
  #take(chunk: Uint8Array, start: number, end: number): string | null {
    const last = start < 0 ? new Uint8Array(0) : chunk.subarray(start, end);
    if (this.#partBytes + last.length > this.#limits.recordBytes) return null;
    if (this.#parts.length === 0) return this.#decoder.decode(last);
    const whole = new Uint8Array(this.#partBytes + last.length);
    let at = 0;
    for (const part of [...this.#parts, last]) {
      whole.set(part, at);
      at += part.length;
    }
    this.#parts = [];
    this.#partBytes = 0;
    return this.#decoder.decode(whole);
  }
}
