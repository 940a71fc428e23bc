const signature = Buffer.from('PGCOPY\n\xff\r\n\0\0\0\0\0\0\0\0\0', 'latin1');
const trailer = Buffer.from([0xff, 0xff]);
/** Bytes of a field without those of a text, with room to spare. */
const fieldRoom = 16;

/**
 * Rows in COPY's binary form (PostgreSQL, COPY, "Binary Format"), written field by field: `row` begins one, and each
 * call after it writes the next column. `drain` gives what was written since the last time.
 */
export class RowWriter {
  #buffer = Buffer.allocUnsafe(1 << 16);
  #length = signature.copy(this.#buffer);

  row(columns: number): void {
    this.#makeRoom(2);
    this.#length = this.#buffer.writeInt16BE(columns, this.#length);
  }

  null(): void {
    this.#makeRoom(fieldRoom);
    this.#length = this.#buffer.writeInt32BE(-1, this.#length);
  }

  text(text: string | null): void {
    if (text === null) this.null();
    else this.#utf8(text);
  }

  texts(list: readonly string[] | null): void {
    if (list === null) this.null();
    else this.#array(list);
  }

  #array(list: readonly string[]): void {
    this.#makeRoom(3 * fieldRoom);
    const start = this.#length;
    const textType = 25;
    // An array has its dimensions, whether it holds NULLs, the type of its members, then a size and a first index each.
    this.#length = this.#buffer.writeInt32BE(list.length > 0 ? 1 : 0, start + 4);
    this.#length = this.#buffer.writeInt32BE(0, this.#length);
    this.#length = this.#buffer.writeInt32BE(textType, this.#length);
    if (list.length > 0) {
      this.#length = this.#buffer.writeInt32BE(list.length, this.#length);
      this.#length = this.#buffer.writeInt32BE(1, this.#length);
    }
    for (const text of list) this.#utf8(text);
    this.#buffer.writeInt32BE(this.#length - start - 4, start);
  }

  double(number: number | null): void {
    this.#makeRoom(fieldRoom);
    this.#length = this.#buffer.writeInt32BE(number === null ? -1 : 8, this.#length);
    if (number !== null) this.#length = this.#buffer.writeDoubleBE(number, this.#length);
  }

  integer(number: number): void {
    this.#makeRoom(fieldRoom);
    this.#length = this.#buffer.writeInt32BE(4, this.#length);
    this.#length = this.#buffer.writeInt32BE(number, this.#length);
  }

  /** Of type int8, between 0 and 2^53. */
  big(number: number): void {
    this.#makeRoom(fieldRoom);
    this.#length = this.#buffer.writeInt32BE(8, this.#length);
    this.#length = this.#buffer.writeUInt32BE(Math.floor(number / 2 ** 32), this.#length);
    this.#length = this.#buffer.writeUInt32BE(number % 2 ** 32, this.#length);
  }

  boolean(yes: boolean): void {
    this.#makeRoom(fieldRoom);
    this.#length = this.#buffer.writeInt32BE(1, this.#length);
    this.#length = this.#buffer.writeUInt8(yes ? 1 : 0, this.#length);
  }

  get length(): number {
    return this.#length;
  }

  /** What was written since the last time, in a buffer that is written over after the next call. */
  drain(): Buffer {
    const written = this.#buffer.subarray(0, this.#length);
    this.#buffer = Buffer.allocUnsafe(this.#buffer.length);
    this.#length = 0;
    return written;
  }

  /** The last of it. */
  end(): Buffer {
    this.#makeRoom(trailer.length);
    this.#length += trailer.copy(this.#buffer, this.#length);
    return this.drain();
  }

  #utf8(text: string): void {
    // PostgreSQL keeps no zero characters in texts.
    const kept = text.includes('\0') ? text.replaceAll('\0', '') : text;
    this.#makeRoom(fieldRoom + 3 * kept.length);
    const start = this.#length + 4;
    const end = start + this.#buffer.write(kept, start, 'utf8');
    this.#buffer.writeInt32BE(end - this.#length - 4, this.#length);
    this.#length = end;
  }

  #makeRoom(room: number): void {
    if (this.#length + room <= this.#buffer.length) return;
    const larger = Buffer.allocUnsafe(2 * this.#buffer.length + room);
    larger.set(this.#buffer.subarray(0, this.#length));
    this.#buffer = larger;
  }
}
