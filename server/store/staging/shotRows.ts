import type { Shot } from '#core/surface/types.ts';
import { cellOf } from '../cell.ts';
import { NameCounter } from './names.ts';
import { SortedRuns } from './sortedRuns.ts';

/** Rows that are put in order in memory; of more than these each so many are a run that is merged from disk. */
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

export interface RowOptions extends AlikeColumns {
  /** File that the runs of a large survey are kept in while they are sent. */
  spool: string;
  /** Hears what share of a large survey was sent with each chunk; throws where the work is to stop. */
  sent?: (share: number) => Promise<void>;
}

/**
 * Shots in COPY's binary form (PostgreSQL, COPY, "Binary Format"): point, ordinal, easting, northing, elevation, code,
 * role, sigma, cell. They are sent in the order of their cells, which is that of the index: rows of one leaf are then
 * laid down together, whatever the order of the file. Shots of one name are told apart by their order in the file. A
 * chunk is written over by the next one, so it has to be sent before that is asked for.
 */
export async function* shotRows(
  batches: AsyncIterable<readonly Shot[]>,
  { spool, sent, ...alike }: RowOptions,
): AsyncGenerator<Buffer> {
  const names = new NameCounter();
  const window = new RowWindow(alike);
  const runs = new SortedRuns(spool);
  let isSpooled = false;
  try {
    for await (const batch of batches) {
      for (const shot of batch) {
        if (window.count === rowsOrdered) {
          isSpooled = true;
          window.drain((cell, row) => runs.add(cell, row));
          runs.endRun();
        }
        window.add(shot, names.next(shot.point));
      }
    }
    yield signature;
    if (isSpooled) {
      window.drain((cell, row) => runs.add(cell, row));
      runs.endRun();
      for (const chunk of inChunks(runs.merged())) {
        yield chunk;
        await sent?.(chunk.length / runs.rowBytes);
      }
    } else yield* inChunks(window.ordered());
    yield trailer;
  } finally {
    runs.close();
  }
}

/** Rows one after the other in pieces of a size that is worth sending. */
function* inChunks(rows: Iterable<Uint8Array>): Generator<Buffer> {
  const chunk = Buffer.allocUnsafe(chunkBytes);
  let filled = 0;
  for (const row of rows) {
    if (filled > 0 && filled + row.length > chunkBytes) {
      yield chunk.subarray(0, filled);
      filled = 0;
    }
    if (row.length > chunkBytes) yield Buffer.from(row);
    else {
      chunk.set(row, filled);
      filled += row.length;
    }
  }
  if (filled > 0) yield chunk.subarray(0, filled);
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

  /** All rows in the order of their cells. */
  *ordered(): Generator<Buffer> {
    for (const at of orderOf(this.#cells.subarray(0, this.count)))
      yield this.#buffer.subarray(this.#starts[at], this.#starts[at + 1]);
  }

  /** Gives all rows out in the order of their cells; the window is empty after it. */
  drain(take: (cell: number, row: Uint8Array) => void): void {
    for (const at of orderOf(this.#cells.subarray(0, this.count)))
      take(this.#cells[at], this.#buffer.subarray(this.#starts[at], this.#starts[at + 1]));
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
