import { isOnLine } from '#core/plan/reach.ts';
import type { Shot, ShotRole } from '#core/surface/types.ts';
import { cellSide } from '../cell.ts';
import type { RowReader } from '../copyOut.ts';

/** Texts by number: a survey has few codes, and the next one is mostly the last one again. */
class Words {
  readonly #numbers = new Map<string, number>();
  readonly list: string[] = [];
  #last = { bytes: new Uint8Array(0), number: -1 };

  /** Takes the next text of a row. */
  next(row: RowReader): number {
    if (this.#last.number >= 0 && row.skipIf(this.#last.bytes)) return this.#last.number;
    const word = row.text();
    const number = this.#numbers.get(word) ?? this.list.push(word) - 1;
    this.#numbers.set(word, number);
    this.#last = { bytes: Buffer.from(word), number };
    return number;
  }
}

const firstRoom = 1 << 16;

/** A list of numbers that grows, and whose memory lies outside the heap. */
class Column<Numbers extends Float64Array | Uint32Array> {
  values: Numbers;
  readonly #make: (length: number) => Numbers;

  constructor(make: (length: number) => Numbers) {
    this.#make = make;
    this.values = make(firstRoom);
  }

  set(at: number, value: number): void {
    if (at >= this.values.length) {
      const larger = this.#make(2 * this.values.length);
      larger.set(this.values);
      this.values = larger;
    }
    this.values[at] = value;
  }
}

const doubles = () => new Column((length) => new Float64Array(length));
const whole = () => new Column((length) => new Uint32Array(length));

/** Metres in the project's grid. */
interface Rectangle {
  west: number;
  south: number;
  east: number;
  north: number;
}

const isIn = ({ west, south, east, north }: Rectangle, e: number, n: number): boolean =>
  e >= west && e <= east && n >= south && n <= north;

/** Shots of one surface in columns, for reading millions once and having them strip by strip. */
export class ShotColumns {
  readonly #east = doubles();
  readonly #north = doubles();
  readonly #elevation = doubles();
  readonly #sigma = doubles();
  readonly #code = whole();
  readonly #role = whole();
  readonly #nameEnd = whole();
  readonly #codes = new Words();
  readonly #roles = new Words();
  #names = Buffer.allocUnsafe(1 << 20);
  #namesLength = 0;
  #order = new Uint32Array(0);
  /** Where in the order the shots of each row of cells begin, from `#firstRow` on. */
  #starts = new Uint32Array(1);
  #firstRow = 0;
  count = 0;

  /** Columns of the row: easting, northing, point, elevation, code, role, sigma. */
  readonly add = (row: RowReader): void => {
    const at = this.count++;
    this.#east.set(at, row.double());
    this.#north.set(at, row.double());
    this.#addName(at, row);
    this.#elevation.set(at, row.double());
    this.#code.set(at, this.#codes.next(row));
    this.#role.set(at, this.#roles.next(row));
    this.#sigma.set(at, row.doubleOrNull() ?? Number.NaN);
  };

  #addName(at: number, row: RowReader): void {
    const room = row.textLength();
    if (this.#namesLength + room > this.#names.length) {
      const larger = Buffer.allocUnsafe(2 * this.#names.length + room);
      larger.set(this.#names.subarray(0, this.#namesLength));
      this.#names = larger;
    }
    this.#namesLength = row.copyText(this.#names, this.#namesLength);
    this.#nameEnd.set(at, this.#namesLength);
  }

  /** Puts the shots in the order of their rows of cells; to be called once, when all are there. */
  sort(): void {
    const rows = new Float64Array(this.count);
    let [first, last] = [Infinity, -Infinity];
    for (let at = 0; at < this.count; at++) {
      rows[at] = Math.floor(this.#north.values[at] / cellSide);
      if (rows[at] < first) first = rows[at];
      if (rows[at] > last) last = rows[at];
    }
    this.#firstRow = this.count > 0 ? first : 0;
    this.#starts = new Uint32Array(this.count > 0 ? last - first + 2 : 1);
    for (const row of rows) this.#starts[row - first + 1]++;
    for (let row = 1; row < this.#starts.length; row++) this.#starts[row] += this.#starts[row - 1];
    const next = this.#starts.slice();
    this.#order = new Uint32Array(this.count);
    for (let at = 0; at < this.count; at++) this.#order[next[rows[at] - first]++] = at;
  }

  /** All shots in the near rectangle, and those on coded lines in the far one, which holds the near one. */
  within({ near, far }: { near: Rectangle; far: Rectangle }): Shot[] {
    const rows = this.#starts.length - 1;
    const row = (y: number) => Math.max(0, Math.min(rows, Math.floor(y / cellSide) - this.#firstRow));
    const end = this.#starts[Math.min(rows, row(far.north) + 1)];
    const isOfLine = this.#roles.list.map((word) => isOnLine(word as ShotRole));
    const shots: Shot[] = [];
    for (let k = this.#starts[row(far.south)]; k < end; k++) {
      const at = this.#order[k];
      const [e, n] = [this.#east.values[at], this.#north.values[at]];
      if (isIn(near, e, n) || (isOfLine[this.#role.values[at]] && isIn(far, e, n)))
        shots.push(this.#shot(at, e, n));
    }
    return shots;
  }

  #shot(at: number, east: number, north: number): Shot {
    const sigma = this.#sigma.values[at];
    return {
      east,
      north,
      point: this.#names.toString(
        'utf8',
        at === 0 ? 0 : this.#nameEnd.values[at - 1],
        this.#nameEnd.values[at],
      ),
      elevation: this.#elevation.values[at],
      code: this.#codes.list[this.#code.values[at]],
      role: this.#roles.list[this.#role.values[at]] as ShotRole,
      sigma: Number.isNaN(sigma) ? null : sigma,
    };
  }
}
