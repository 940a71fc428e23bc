import { hash } from 'node:crypto';
import { cellOf, cellSide } from '../../store/cell.ts';
import type { StoredShots } from '../../store/plan/shotColumns.ts';

/** A hash that a double and an int8 both hold exactly: 52 bits. */
export const shortHash = (text: string): number => Number.parseInt(hash('sha256', text).slice(0, 13), 16);

/** The numbers of a shot as words of 32 bits. */
const float = new Float64Array(4);
const words = new Uint32Array(float.buffer);

/** Two independent numbers of 32 bits for a shot. */
function hashShot(shots: StoredShots, shot: number, into: Uint32Array): void {
  float[0] = shots.east[shot];
  float[1] = shots.north[shot];
  float[2] = shots.elevation[shot];
  float[3] = shots.recorded[shot];
  let a = 0x9e3779b9 ^ shots.nameHash[shot];
  let b = 0x85ebca6b ^ shots.role[shot];
  for (let k = 0; k < 8; k++) {
    a = Math.imul(a ^ words[k], 0x01000193);
    b = Math.imul(b ^ words[k] ^ (a >>> 15), 0xc2b2ae35);
  }
  into[0] = Math.imul(a ^ (a >>> 16), 0x21f0aaad) ^ b;
  into[1] = Math.imul(b ^ (b >>> 13), 0x735a2d97) ^ a;
}

/** A rectangle in metres of the project's grid. */
export interface Box {
  west: number;
  south: number;
  east: number;
  north: number;
}

/** Cells of more than this are not all written down: a part of a project may be two places far apart. */
const mostCells = 4_000_000;

/**
 * Sums of the hashes of shots over whole cells: they do not ask for the order of shots, and tell a rectangle with another
 * shot from what it was. Cells are those of the whole grid, so that a rectangle has the same sum whatever part of a
 * project is looked at.
 */
export interface ShotHashes {
  /** Of the shots in the cells that a rectangle touches, which lies in the box. */
  of(rectangle: Box): string;
}

/** Whether a shot counts. */
type ChosenShot = (shot: number) => boolean;

export function hashShots(shots: StoredShots, chosen: ChosenShot, box: Box): ShotHashes {
  const cells = (to: number, from: number) => Math.floor(to / cellSide) - Math.floor(from / cellSide) + 2;
  const size = cells(box.east, box.west) * cells(box.north, box.south);
  return size <= mostCells ? new CloseHashes(shots, chosen, box) : new FarHashes(shots, chosen);
}

/** Sums of every rectangle come from those of four corners. */
class CloseHashes implements ShotHashes {
  readonly #west: number;
  readonly #south: number;
  readonly #columns: number;
  readonly #rows: number;
  readonly #sums: readonly [Uint32Array, Uint32Array];

  constructor(shots: StoredShots, chosen: ChosenShot, box: Box) {
    this.#west = Math.floor(box.west / cellSide);
    this.#south = Math.floor(box.south / cellSide);
    this.#columns = Math.floor(box.east / cellSide) - this.#west + 2;
    this.#rows = Math.floor(box.north / cellSide) - this.#south + 2;
    const size = this.#columns * this.#rows;
    this.#sums = [new Uint32Array(size), new Uint32Array(size)];
    this.#add(shots, chosen);
    for (const sums of this.#sums) this.#sumUp(sums);
  }

  #add(shots: StoredShots, chosen: ChosenShot): void {
    const both = new Uint32Array(2);
    for (let shot = 0; shot < shots.count; shot++) {
      if (!chosen(shot)) continue;
      const column = Math.floor(shots.east[shot] / cellSide) - this.#west + 1;
      const row = Math.floor(shots.north[shot] / cellSide) - this.#south + 1;
      if (column < 1 || column >= this.#columns || row < 1 || row >= this.#rows) continue;
      hashShot(shots, shot, both);
      this.#sums[0][row * this.#columns + column] += both[0];
      this.#sums[1][row * this.#columns + column] += both[1];
    }
  }

  /** From what each cell has to what all cells south and west of its far corner have. */
  #sumUp(sums: Uint32Array): void {
    const columns = this.#columns;
    for (let at = columns; at < sums.length; at++) {
      if (at % columns > 0) sums[at] += sums[at - 1] + sums[at - columns] - sums[at - columns - 1];
    }
  }

  of({ west, south, east, north }: Box): string {
    const left = Math.floor(west / cellSide) - this.#west;
    const right = Math.floor(east / cellSide) - this.#west + 1;
    const bottom = (Math.floor(south / cellSide) - this.#south) * this.#columns;
    const top = (Math.floor(north / cellSide) - this.#south + 1) * this.#columns;
    const [a, b] = this.#sums;
    const first = (a[top + right] - a[top + left] - a[bottom + right] + a[bottom + left]) >>> 0;
    const second = (b[top + right] - b[top + left] - b[bottom + right] + b[bottom + left]) >>> 0;
    return `${first},${second}`;
  }
}

/** For places far apart: cells with shots are looked up one by one. */
class FarHashes implements ShotHashes {
  readonly #cells = new Map<number, Uint32Array>();

  constructor(shots: StoredShots, chosen: ChosenShot) {
    const both = new Uint32Array(2);
    for (let shot = 0; shot < shots.count; shot++) {
      if (!chosen(shot)) continue;
      hashShot(shots, shot, both);
      const cell = cellOf(shots.east[shot], shots.north[shot]);
      const sums = this.#cells.get(cell);
      if (!sums) this.#cells.set(cell, both.slice());
      else for (const at of both.keys()) sums[at] += both[at];
    }
  }

  of({ west, south, east, north }: Box): string {
    const sums = new Uint32Array(2);
    for (let row = Math.floor(south / cellSide); row <= Math.floor(north / cellSide); row++) {
      const from = cellOf(west, row * cellSide);
      for (let cell = from; cell <= cellOf(east, row * cellSide); cell++) {
        const own = this.#cells.get(cell);
        if (own) for (const at of sums.keys()) sums[at] += own[at];
      }
    }
    return sums.join(',');
  }
}
