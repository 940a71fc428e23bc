import type { Shot } from '#core/surface/types.ts';
import { cellOf } from '../cell.ts';
import { NameCounter } from './names.ts';

/** Rows that are put in the order of their places before they are sent: neighbours are then laid down together. */
const rowsOrdered = 50_000;
/** Room in the low digits of a sort key for a row of a window. */
const rowRoom = 2 ** 18;
/** Bytes of a row without its texts, with room to spare. */
const usualRoom = 1024;
const chunkBytes = 1 << 18;
/** Columns of a shot without those that are alike in all rows. */
const ownColumns = 9;
const signature = Buffer.from('PGCOPY\n\xff\r\n\0\0\0\0\0\0\0\0\0', 'latin1');
const trailer = Buffer.from([0xff, 0xff]);

/** Columns that are alike in all rows: before and after a shot's own. */
export interface AlikeColumns {
  head: readonly string[];
  /** A uuid; null for none. */
  tail: string | null;
}

/**
 * Shots in COPY's binary form (PostgreSQL, COPY, "Binary Format"): point, ordinal, easting, northing, elevation, code,
 * role, sigma, cell. Shots of one name are told apart by their order in the file. A chunk is written over by the next
 * one, so it has to be sent before that is asked for.
 */
export async function* shotRows(
  batches: AsyncIterable<readonly Shot[]>,
  alike: AlikeColumns,
): AsyncGenerator<Buffer> {
  const names = new NameCounter();
  const window = new RowWindow(alike);
  yield signature;
  for await (const batch of batches) {
    for (const shot of batch) {
      window.add(shot, names.next(shot.point));
      if (window.count === rowsOrdered) yield* window.drain();
    }
  }
  yield* window.drain();
  yield trailer;
}

/** Rows by their cells, those of one cell in the order that they came in. */
function orderOf(cells: Float64Array): Uint32Array {
  const numbers = cells.slice().sort();
  let distinct = 0;
  for (const cell of numbers)
    if (distinct === 0 || numbers[distinct - 1] !== cell) numbers[distinct++] = cell;
  const rank = new Map<number, number>();
  for (let at = 0; at < distinct; at++) rank.set(numbers[at], at);
  const keys = Float64Array.from(cells, (cell, at) => rank.get(cell)! * rowRoom + at).sort();
  return Uint32Array.from(keys, (key) => key % rowRoom);
}

/** Texts kept as bytes; a survey has few codes. */
const mostTexts = 5000;

/** Rows as bytes, outside the heap, until so many are there that they can be put in order. */
class RowWindow {
  #buffer = Buffer.allocUnsafe(rowsOrdered * 160);
  readonly #chunk = Buffer.allocUnsafe(chunkBytes);
  readonly #starts = new Uint32Array(rowsOrdered + 1);
  readonly #cells = new Float64Array(rowsOrdered);
  readonly #head: Buffer;
  readonly #tail: Buffer;
  readonly #texts = new Map<string, Buffer>();
  #length = 0;
  count = 0;

  constructor({ head, tail }: AlikeColumns) {
    const count = Buffer.alloc(2);
    count.writeInt16BE(head.length + ownColumns + (tail === null ? 0 : 1));
    this.#head = Buffer.concat([count, ...head.map(textField)]);
    this.#tail = tail === null ? Buffer.alloc(0) : uuidField(tail);
  }

  add(shot: Shot, ordinal: number): void {
    this.#makeRoom(shot);
    const cell = cellOf(shot.east, shot.north);
    this.#cells[this.count++] = cell;
    this.#bytes(this.#head);
    this.#text(shot.point);
    this.#whole(ordinal);
    this.#double(shot.east);
    this.#double(shot.north);
    this.#double(shot.elevation);
    this.#bytes(this.#known(shot.code));
    this.#bytes(this.#known(shot.role));
    if (shot.sigma === null) this.#length = this.#buffer.writeInt32BE(-1, this.#length);
    else this.#double(shot.sigma);
    this.#length = this.#buffer.writeInt32BE(8, this.#length);
    this.#length = this.#buffer.writeUInt32BE(Math.floor(cell / 2 ** 32), this.#length);
    this.#length = this.#buffer.writeUInt32BE(cell % 2 ** 32, this.#length);
    this.#bytes(this.#tail);
    this.#starts[this.count] = this.#length;
  }

  /** All rows in the order of their cells; the window is empty after it. */
  *drain(): Generator<Buffer> {
    let filled = 0;
    for (const at of orderOf(this.#cells.subarray(0, this.count))) {
      const [start, end] = [this.#starts[at], this.#starts[at + 1]];
      if (filled > 0 && filled + end - start > chunkBytes) {
        yield this.#chunk.subarray(0, filled);
        filled = 0;
      }
      if (end - start > chunkBytes) yield this.#buffer.subarray(start, end);
      else filled += this.#buffer.copy(this.#chunk, filled, start, end);
    }
    if (filled > 0) yield this.#chunk.subarray(0, filled);
    this.count = 0;
    this.#length = 0;
  }

  #makeRoom({ point, code }: Shot): void {
    const most = usualRoom + 3 * (point.length + code.length) + this.#head.length;
    if (this.#length + most <= this.#buffer.length) return;
    const larger = Buffer.allocUnsafe(Math.ceil(this.#buffer.length * 1.5) + most);
    larger.set(this.#buffer.subarray(0, this.#length));
    this.#buffer = larger;
  }

  #bytes(bytes: Buffer): void {
    this.#buffer.set(bytes, this.#length);
    this.#length += bytes.length;
  }

  #text(text: string): void {
    const start = this.#length + 4;
    const written = this.#buffer.write(withoutZeros(text), start, 'utf8');
    this.#buffer.writeInt32BE(written, this.#length);
    this.#length = start + written;
  }

  #known(text: string): Buffer {
    const known = this.#texts.get(text);
    if (known) return known;
    const field = textField(text);
    if (this.#texts.size < mostTexts) this.#texts.set(text, field);
    return field;
  }

  #whole(number: number): void {
    this.#length = this.#buffer.writeInt32BE(4, this.#length);
    this.#length = this.#buffer.writeInt32BE(number, this.#length);
  }

  #double(number: number): void {
    this.#length = this.#buffer.writeInt32BE(8, this.#length);
    this.#length = this.#buffer.writeDoubleBE(number, this.#length);
  }
}

/** PostgreSQL keeps no zero characters in texts. */
function withoutZeros(text: string): string {
  return text.includes('\0') ? text.replaceAll('\0', '') : text;
}

function textField(text: string): Buffer {
  const bytes = Buffer.from(withoutZeros(text), 'utf8');
  const size = Buffer.alloc(4);
  size.writeInt32BE(bytes.length);
  return Buffer.concat([size, bytes]);
}

function uuidField(uuid: string): Buffer {
  return Buffer.concat([Buffer.from([0, 0, 0, 16]), Buffer.from(uuid.replaceAll('-', ''), 'hex')]);
}
