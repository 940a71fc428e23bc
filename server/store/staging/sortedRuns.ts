import { closeSync, openSync, readSync, rmSync, writeSync } from 'node:fs';

/** A row's length and its key stand before it. */
const headBytes = 12;
const usualBuffer = 1 << 16;

interface Run {
  /** Place among the runs. */
  number: number;
  /** Where its bytes end in the file. */
  end: number;
  /** Where the next bytes to be read stand. */
  next: number;
  buffer: Buffer;
  /** What of the buffer is read and not yet given out. */
  at: number;
  filled: number;
  key: number;
  /** Of the row that is next. */
  start: number;
  length: number;
}

/**
 * Rows that are too many to be ordered in memory: each window of them is ordered by itself and written down as a run,
 * and the runs are merged as they are read back. The file is there from the first run to `close`.
 */
export class SortedRuns {
  readonly #path: string;
  #file: number | null = null;
  readonly #ends: number[] = [];
  #written = 0;
  /** Bytes of all rows, without what stands before each. */
  rowBytes = 0;
  #out = Buffer.allocUnsafe(4 * usualBuffer);
  #filled = 0;

  constructor(path: string) {
    this.#path = path;
  }

  /** Adds a row to the run in hand; keys must not fall within one run. */
  add(key: number, row: Uint8Array): void {
    const size = headBytes + row.length;
    if (this.#filled + size > this.#out.length) this.#flush();
    if (size > this.#out.length) this.#out = Buffer.allocUnsafe(size);
    this.#out.writeUInt32LE(row.length, this.#filled);
    this.#out.writeDoubleLE(key, this.#filled + 4);
    this.#out.set(row, this.#filled + headBytes);
    this.#filled += size;
    this.rowBytes += row.length;
  }

  endRun(): void {
    this.#flush();
    if (this.#written > (this.#ends.at(-1) ?? 0)) this.#ends.push(this.#written);
  }

  /** All rows by their keys, those of one key in the order they came in; a row is written over by later ones. */
  *merged(): Generator<Buffer> {
    const runs = this.#ends.map((_, number) => this.#open(number));
    const heap = new RunHeap(runs.filter((run) => this.#advance(run)));
    for (let run = heap.first; run !== null; run = heap.first) {
      yield run.buffer.subarray(run.start, run.start + run.length);
      if (this.#advance(run)) heap.settle();
      else heap.drop();
    }
  }

  close(): void {
    if (this.#file === null) return;
    closeSync(this.#file);
    this.#file = null;
    rmSync(this.#path, { force: true });
  }

  #flush(): void {
    if (this.#filled > 0) this.#write(this.#out.subarray(0, this.#filled));
    this.#filled = 0;
  }

  #write(bytes: Uint8Array): void {
    this.#file ??= openSync(this.#path, 'w+', 0o600);
    for (let at = 0; at < bytes.length; ) {
      const count = writeSync(this.#file, bytes, at, bytes.length - at, this.#written);
      at += count;
      this.#written += count;
    }
  }

  #open(number: number): Run {
    const [start, end] = [this.#ends[number - 1] ?? 0, this.#ends[number]];
    const buffer = Buffer.allocUnsafe(Math.min(usualBuffer, end - start));
    return { number, end, next: start, buffer, at: 0, filled: 0, key: 0, start: 0, length: 0 };
  }

  /** Goes on to the next row of a run; false after its last. */
  #advance(run: Run): boolean {
    if (!this.#hold(run, headBytes)) return false;
    run.length = run.buffer.readUInt32LE(run.at);
    run.key = run.buffer.readDoubleLE(run.at + 4);
    if (!this.#hold(run, headBytes + run.length)) throw new Error('A run of sorted rows ends within a row');
    run.start = run.at + headBytes;
    run.at += headBytes + run.length;
    return true;
  }

  /** Sees to it that so many bytes of a run stand in its buffer; false where it has none left. */
  #hold(run: Run, bytes: number): boolean {
    const left = run.filled - run.at;
    if (left >= bytes) return true;
    if (left === 0 && run.next === run.end) return false;
    const rest = run.buffer.subarray(run.at, run.filled);
    if (bytes > run.buffer.length) {
      const larger = Buffer.allocUnsafe(bytes);
      larger.set(rest);
      run.buffer = larger;
    } else run.buffer.copyWithin(0, run.at, run.filled);
    run.at = 0;
    run.filled = left;
    while (run.filled < bytes && run.next < run.end) {
      const room = Math.min(run.buffer.length - run.filled, run.end - run.next);
      const count = readSync(this.#file!, run.buffer, run.filled, room, run.next);
      if (count === 0) break;
      run.filled += count;
      run.next += count;
    }
    return run.filled >= bytes;
  }
}

/** The runs by their next keys, the smallest at the top; of equal keys the earlier run first. */
class RunHeap {
  readonly #runs: Run[];

  constructor(runs: Run[]) {
    this.#runs = runs;
    for (let at = (runs.length >> 1) - 1; at >= 0; at--) this.#sink(at);
  }

  get first(): Run | null {
    return this.#runs[0] ?? null;
  }

  /** Puts the top where it belongs after its key has grown. */
  settle(): void {
    this.#sink(0);
  }

  /** Takes the top away. */
  drop(): void {
    const last = this.#runs.pop();
    if (last === undefined || this.#runs.length === 0) return;
    this.#runs[0] = last;
    this.#sink(0);
  }

  #sink(from: number): void {
    const runs = this.#runs;
    for (let at = from; ; ) {
      let least = at;
      const child = 2 * at + 1;
      if (child < runs.length && this.#isBefore(runs[child], runs[least])) least = child;
      if (child + 1 < runs.length && this.#isBefore(runs[child + 1], runs[least])) least = child + 1;
      if (least === at) return;
      [runs[at], runs[least]] = [runs[least], runs[at]];
      at = least;
    }
  }

  #isBefore(a: Run, b: Run): boolean {
    return a.key < b.key || (a.key === b.key && a.number < b.number);
  }
}
