import type { Readable } from 'node:stream';
import { type MessageTaker, takeCopied } from './copySocket.ts';
import type { Transaction } from './transaction.ts';

/** Signature, flags and length of the extension in front of the first row. */
const headerLength = 19;
/** Stands in place of a count of columns behind the last row. */
const endOfRows = -1;

/** Node's own quick way to a text, which its types leave out. */
type Slicing = Buffer & { utf8Slice(start: number, end: number): string };

/**
 * A row of COPY's binary form (PostgreSQL, COPY, "Binary Format"), read field by field in the order of the columns: each
 * call takes the next one. The reader is good for as long as the call that it was handed to.
 */
export class RowReader {
  #bytes = Buffer.alloc(0) as Slicing;
  /** Of all that the row came with, which is many rows. */
  #view: DataView = new DataView(new ArrayBuffer(0));
  /** Where the row's bytes begin in the view, and where the reader stands in it. */
  #base = 0;
  #at = 0;

  /** Stands before the first field of the row at `at`; false behind the last row. */
  start(bytes: Buffer, at: number): boolean {
    this.#bytes = bytes as Slicing;
    if (this.#view.buffer !== bytes.buffer) this.#view = new DataView(bytes.buffer);
    this.#base = bytes.byteOffset;
    this.#at = this.#base + at + 2;
    return this.#view.getInt16(this.#at - 2) !== endOfRows;
  }

  /** Steps over a field; gives its length, below 0 for NULL, and stands behind it. */
  #skip(): number {
    const length = this.#view.getInt32(this.#at);
    this.#at += length < 0 ? 4 : 4 + length;
    return length;
  }

  double(): number {
    this.#at += 12;
    return this.#view.getFloat64(this.#at - 8);
  }

  doubleOrNull(): number | null {
    return this.#skip() < 0 ? null : this.#view.getFloat64(this.#at - 8);
  }

  text(): string {
    return this.#slice(this.#skip());
  }

  /** The text that ends where the reader stands. */
  #slice(length: number): string {
    const end = this.#at - this.#base;
    return this.#bytes.utf8Slice(end - length, end);
  }

  /** Steps over the next text where its bytes are these. */
  skipIf(known: Uint8Array): boolean {
    if (this.#view.getInt32(this.#at) !== known.length) return false;
    const start = this.#at - this.#base + 4;
    for (let k = 0; k < known.length; k++) if (this.#bytes[start + k] !== known[k]) return false;
    this.#at += 4 + known.length;
    return true;
  }

  textOrNull(): string | null {
    const length = this.#skip();
    return length < 0 ? null : this.#slice(length);
  }

  /** Bytes of the text that comes next. */
  textLength(): number {
    return this.#view.getInt32(this.#at);
  }

  /** Copies the bytes of a text; gives where they end. */
  copyText(into: Buffer, at: number): number {
    const length = this.#skip();
    const end = this.#at - this.#base;
    for (let from = end - length, to = at; from < end; from++, to++) into[to] = this.#bytes[from];
    return at + length;
  }

  boolOrNull(): boolean | null {
    return this.#skip() < 0 ? null : this.#view.getUint8(this.#at - 1) === 1;
  }

  integer(): number {
    this.#at += 8;
    return this.#view.getInt32(this.#at - 4);
  }

  /** An int8, which here is always below 2^53. */
  bigOrNull(): number | null {
    if (this.#skip() < 0) return null;
    return this.#view.getInt32(this.#at - 8) * 2 ** 32 + this.#view.getUint32(this.#at - 4);
  }
}

/** The driver's query, as far as it is reached into below. */
interface Streaming {
  resolve(stream: Readable): void;
  readable(): Promise<Readable>;
}

/**
 * Reads the rows of a query by COPY, each handed to `take` as it comes; gives their number. The driver leads every row
 * through a stream of its own, at several times the cost of reading it, so rows are taken where it pushes them, or where a
 * socket of ours has them before.
 * `select` has no parameters: texts in it go through `literal`.
 */
export async function copyOut(
  sql: Transaction['sql'],
  select: string,
  take: (row: RowReader) => void,
): Promise<number> {
  const ended = Promise.withResolvers<void>();
  ended.promise.catch(() => {});
  const rows = new RowSink(take, ended.resolve);
  const query = sql.unsafe(`copy (${select}) to stdout (format binary)`) as unknown as Streaming;
  const { resolve } = query;
  query.resolve = (stream) => {
    // With the stream at first, and once more with the command's result.
    query.resolve = resolve;
    stream.push = (message: Buffer | null) => rows.push(message);
    takeCopied(rows);
    stream.once('error', ended.reject);
    resolve(stream);
  };
  await query.readable();
  await ended.promise;
  if (rows.fault) throw rows.fault.cause;
  return rows.count;
}

class RowSink implements MessageTaker {
  readonly #take: (row: RowReader) => void;
  readonly #end: () => void;
  readonly #reader = new RowReader();
  #headerRead = false;
  count = 0;
  /** What `take` threw first. */
  fault: { cause: unknown } | null = null;

  constructor(take: (row: RowReader) => void, end: () => void) {
    this.#take = take;
    this.#end = end;
  }

  push(message: Buffer | null): boolean {
    if (message === null) this.#end();
    else this.take(message, 0);
    return true;
  }

  take(bytes: Buffer, at: number): void {
    const row = this.#headerRead ? at : at + headerLength;
    this.#headerRead = true;
    // What follows a fault is let pass, so that the connection is good for the next statement.
    if (this.fault || !this.#reader.start(bytes, row)) return;
    try {
      this.#take(this.#reader);
      this.count++;
    } catch (cause) {
      this.fault = { cause };
    }
  }
}
