import type { Shot } from '#core/surface/types.ts';
import { cellOf } from '../cell.ts';
import { NameCounter } from './names.ts';

/** Rows that are put in the order of their places before they are sent: neighbours are then laid down together. */
const rowsOrdered = 40_000;
/** Room in the low digits of a sort key for a row of a window. */
const rowRoom = 2 ** 17;
const bufferBytes = 1 << 18;
/** Bytes of a row without its texts, with room to spare. */
const usualRoom = 1024;
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
 * role, sigma, cell. Shots of one name are told apart by their order in the file.
 */
export async function* shotRows(
  batches: AsyncIterable<readonly Shot[]>,
  alike: AlikeColumns,
): AsyncGenerator<Buffer> {
  const names = new NameCounter();
  const writer = new RowWriter(alike);
  yield signature;
  let window: Shot[] = [];
  for await (const batch of batches) {
    for (const shot of batch) {
      window.push(shot);
      if (window.length < rowsOrdered) continue;
      yield* writeWindow(window, names, writer);
      window = [];
    }
  }
  yield* writeWindow(window, names, writer);
  yield trailer;
}

function* writeWindow(shots: readonly Shot[], names: NameCounter, writer: RowWriter): Generator<Buffer> {
  const cells = new Float64Array(shots.length);
  const ordinals = new Uint32Array(shots.length);
  for (let at = 0; at < shots.length; at++) {
    const { point, east, north } = shots[at];
    cells[at] = cellOf(east, north);
    ordinals[at] = names.next(point);
  }
  for (const at of orderOf(cells)) {
    writer.add(shots[at], ordinals[at], cells[at]);
    if (writer.isFull) yield writer.take();
  }
  if (writer.length > 0) yield writer.take();
}

/** Rows by their cells, those of one cell in the order that they came in. */
function orderOf(cells: Float64Array): Uint32Array {
  const order = new Uint32Array(cells.length);
  const numbers = Float64Array.from(new Set(cells)).sort();
  const rank = new Map<number, number>();
  for (let at = 0; at < numbers.length; at++) rank.set(numbers[at], at);
  const keys = new Float64Array(cells.length);
  for (let at = 0; at < cells.length; at++) keys[at] = rank.get(cells[at])! * rowRoom + at;
  keys.sort();
  for (let at = 0; at < keys.length; at++) order[at] = keys[at] % rowRoom;
  return order;
}

/** Texts kept as bytes; a survey has few codes. */
const mostTexts = 5000;

class RowWriter {
  #buffer = Buffer.allocUnsafe(bufferBytes);
  readonly #head: Buffer;
  readonly #tail: Buffer;
  readonly #texts = new Map<string, Buffer>();
  length = 0;

  constructor({ head, tail }: AlikeColumns) {
    const count = Buffer.alloc(2);
    count.writeInt16BE(head.length + ownColumns + (tail === null ? 0 : 1));
    this.#head = Buffer.concat([count, ...head.map(textField)]);
    this.#tail = tail === null ? Buffer.alloc(0) : uuidField(tail);
  }

  /** A row is some hundred bytes, unless its texts are of unusual length; then the buffer grows. */
  get isFull(): boolean {
    return this.length > bufferBytes - usualRoom;
  }

  /** The rows so far; they are written over by the next ones, so they have to be sent before those are added. */
  take(): Buffer {
    const taken = this.#buffer.subarray(0, this.length);
    this.length = 0;
    return taken;
  }

  add(shot: Shot, ordinal: number, cell: number): void {
    this.#makeRoom(shot);
    this.#bytes(this.#head);
    this.#text(shot.point);
    this.#whole(ordinal);
    this.#double(shot.east);
    this.#double(shot.north);
    this.#double(shot.elevation);
    this.#bytes(this.#known(shot.code));
    this.#bytes(this.#known(shot.role));
    if (shot.sigma === null) this.length = this.#buffer.writeInt32BE(-1, this.length);
    else this.#double(shot.sigma);
    this.length = this.#buffer.writeInt32BE(8, this.length);
    this.length = this.#buffer.writeUInt32BE(Math.floor(cell / 2 ** 32), this.length);
    this.length = this.#buffer.writeUInt32BE(cell % 2 ** 32, this.length);
    this.#bytes(this.#tail);
  }

  #makeRoom({ point, code }: Shot): void {
    const most = usualRoom + 3 * (point.length + code.length) + this.#head.length;
    if (this.length + most <= this.#buffer.length) return;
    const larger = Buffer.allocUnsafe(this.length + most);
    larger.set(this.#buffer.subarray(0, this.length));
    this.#buffer = larger;
  }

  #bytes(bytes: Buffer): void {
    this.#buffer.set(bytes, this.length);
    this.length += bytes.length;
  }

  #text(text: string): void {
    const start = this.length + 4;
    const written = this.#buffer.write(withoutZeros(text), start, 'utf8');
    this.#buffer.writeInt32BE(written, this.length);
    this.length = start + written;
  }

  #known(text: string): Buffer {
    const known = this.#texts.get(text);
    if (known) return known;
    const field = textField(text);
    if (this.#texts.size < mostTexts) this.#texts.set(text, field);
    return field;
  }

  #whole(number: number): void {
    this.length = this.#buffer.writeInt32BE(4, this.length);
    this.length = this.#buffer.writeInt32BE(number, this.length);
  }

  #double(number: number): void {
    this.length = this.#buffer.writeInt32BE(8, this.length);
    this.length = this.#buffer.writeDoubleBE(number, this.length);
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
