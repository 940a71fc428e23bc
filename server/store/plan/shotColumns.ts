import { isOnLine } from '#core/plan/reach.ts';
import { room, type ShotColumns, shotRoles, shotsWhere } from '#core/surface/shotColumns.ts';
import type { ShotRole } from '#core/surface/types.ts';
import { cellSide } from '../cell.ts';
import type { RowReader } from '../copyOut.ts';

/** Shots as plans read them. */
export interface StoredShots extends ShotColumns {
  /** 32 bits of each point name. */
  readonly nameHash: Uint32Array;
}

const roleBytes = shotRoles.map((role) => Buffer.from(role));
const isOfLine = shotRoles.map(isOnLine);

/** Takes the next text of a row, which is a role; the next shot mostly has that of the last one. */
function readRole(row: RowReader, last: number): number {
  if (row.skipIf(roleBytes[last])) return last;
  return shotRoles.indexOf(row.text() as ShotRole);
}

const firstRoom = 1 << 12;

/** Metres in the project's grid. */
interface Rectangle {
  west: number;
  south: number;
  east: number;
  north: number;
}

function grown<Numbers extends Float64Array | Uint32Array | Uint8Array>(
  numbers: Numbers,
  into: Numbers,
): Numbers {
  into.set(numbers);
  return into;
}

const isIn = ({ west, south, east, north }: Rectangle, e: number, n: number): boolean =>
  e >= west && e <= east && n >= south && n <= north;

/** What of a surface's shots was read: millions once, and then taken rectangle by rectangle. */
export class ReadShots {
  #room = firstRoom;
  #east = new Float64Array(firstRoom);
  #north = new Float64Array(firstRoom);
  #elevation = new Float64Array(firstRoom);
  #recorded = new Float64Array(firstRoom);
  #role = new Uint8Array(firstRoom);
  #nameEnd = new Uint32Array(firstRoom);
  #nameHash = new Uint32Array(firstRoom);
  #names = Buffer.allocUnsafe(1 << 16);
  #namesLength = 0;
  /** All names in one. */
  #text: string | null = null;
  #lastRole = 0;
  #order = new Uint32Array(0);
  /** Where in the order the shots of each row of cells begin, from `#firstRow` on. */
  #starts = new Uint32Array(1);
  #firstRow = 0;
  count = 0;

  /** Columns of the row: easting, northing, point, elevation, role, sigma. */
  readonly add = (row: RowReader): void => {
    if (this.count === this.#room) this.#grow();
    const at = this.count++;
    this.#east[at] = row.double();
    this.#north[at] = row.double();
    this.#addName(at, row);
    this.#elevation[at] = row.double();
    this.#lastRole = readRole(row, this.#lastRole);
    this.#role[at] = this.#lastRole;
    this.#recorded[at] = row.doubleOrNull() ?? Number.NaN;
  };

  /** By half as much again, so that little is asked for in vain. */
  #grow(): void {
    this.#room = Math.ceil(1.5 * this.#room);
    this.#east = grown(this.#east, new Float64Array(this.#room));
    this.#north = grown(this.#north, new Float64Array(this.#room));
    this.#elevation = grown(this.#elevation, new Float64Array(this.#room));
    this.#recorded = grown(this.#recorded, new Float64Array(this.#room));
    this.#role = grown(this.#role, new Uint8Array(this.#room));
    this.#nameEnd = grown(this.#nameEnd, new Uint32Array(this.#room));
    this.#nameHash = grown(this.#nameHash, new Uint32Array(this.#room));
  }

  #addName(at: number, row: RowReader): void {
    const room = row.textLength();
    if (this.#namesLength + room > this.#names.length) {
      const larger = Buffer.allocUnsafe(2 * this.#names.length + room);
      larger.set(this.#names.subarray(0, this.#namesLength));
      this.#names = larger;
    }
    const names = this.#names;
    const start = this.#namesLength;
    const end = row.copyText(names, start);
    this.#namesLength = end;
    this.#nameEnd[at] = end;
    // FNV-1a (Fowler, Noll and Vo), of 32 bits.
    let hash = 0x811c9dc5;
    for (let k = start; k < end; k++) hash = Math.imul(hash ^ names[k], 0x01000193);
    this.#nameHash[at] = hash;
  }

  /** Puts the shots in the order of their rows of cells; to be called once, when all are there. */
  sort(): void {
    const rows = new Float64Array(this.count);
    let [first, last] = [Infinity, -Infinity];
    for (let at = 0; at < this.count; at++) {
      rows[at] = Math.floor(this.#north[at] / cellSide);
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
  within({ near, far }: { near: Rectangle; far: Rectangle }): StoredShots {
    const rows = this.#starts.length - 1;
    const row = (y: number) => Math.max(0, Math.min(rows, Math.floor(y / cellSide) - this.#firstRow));
    const [start, end] = [this.#starts[row(far.south)], this.#starts[Math.min(rows, row(far.north) + 1)]];
    const [east, north, role] = [this.#east, this.#north, this.#role];
    const numbers = new Uint32Array(end - start);
    let count = 0;
    for (let k = start; k < end; k++) {
      const at = this.#order[k];
      const [e, n] = [east[at], north[at]];
      if (isIn(near, e, n) || (isOfLine[role[at]] && isIn(far, e, n))) numbers[count++] = at;
    }
    return this.#some(numbers.subarray(0, count));
  }

  /** Those in one rectangle, in the order that they were read in. */
  in(rectangle: Rectangle): StoredShots {
    const [east, north] = [this.#east, this.#north];
    return this.#some(shotsWhere(this, (at) => isIn(rectangle, east[at], north[at])));
  }

  #some(numbers: Uint32Array): StoredShots {
    const some = { ...room(numbers.length), nameHash: new Uint32Array(numbers.length) };
    for (let i = 0; i < numbers.length; i++) {
      const at = numbers[i];
      some.east[i] = this.#east[at];
      some.north[i] = this.#north[at];
      some.elevation[i] = this.#elevation[at];
      some.recorded[i] = this.#recorded[at];
      some.role[i] = this.#role[at];
      some.nameHash[i] = this.#nameHash[at];
    }
    return { ...some, name: (shot) => this.#name(numbers[shot]) };
  }

  #name(at: number): string {
    const start = at === 0 ? 0 : this.#nameEnd[at - 1];
    const end = this.#nameEnd[at];
    this.#text ??= this.#names.toString('utf8', 0, this.#namesLength);
    // Where every letter is one byte, a piece of one long text costs a quarter of a text of its own.
    return this.#text.length === this.#namesLength
      ? this.#text.slice(start, end)
      : this.#names.toString('utf8', start, end);
  }
}

/** The shots of several surfaces as one. */
export function joinShots(parts: readonly StoredShots[]): StoredShots {
  if (parts.length === 1) return parts[0];
  const count = parts.reduce((sum, part) => sum + part.count, 0);
  const joined = { ...room(count), nameHash: new Uint32Array(count) };
  const starts: number[] = [];
  let start = 0;
  for (const part of parts) {
    for (const column of ['east', 'north', 'elevation', 'recorded', 'role', 'nameHash'] as const)
      joined[column].set(part[column], start);
    starts.push(start);
    start += part.count;
  }
  const name = (shot: number): string => {
    const part = starts.findLastIndex((first) => first <= shot);
    return parts[part].name(shot - starts[part]);
  };
  return { ...joined, name };
}
