import { ownText } from '../growing.ts';

const nothingThere = 0xffffffff;

/** Numbers the ids of a surface's points in the order they are met, in a point or in a face. */
export class IdTable {
  readonly #slots = new Map<string | number, number>();
  #points = new Uint32Array(1024).fill(nothingThere);

  slot(id: string): number {
    const key = numberOf(id) ?? id;
    const known = this.#slots.get(key);
    if (known !== undefined) return known;
    const slot = this.#slots.size;
    this.#slots.set(typeof key === 'string' ? ownText(key) : key, slot);
    if (slot === this.#points.length) {
      const points = new Uint32Array(2 * slot).fill(nothingThere);
      points.set(this.#points);
      this.#points = points;
    }
    return slot;
  }

  /** False where the id has a point already. */
  give(slot: number, point: number): boolean {
    if (this.#points[slot] !== nothingThere) return false;
    this.#points[slot] = point;
    return true;
  }

  /** Index of the point, or -1 where none was given. */
  pointAt(slot: number): number {
    const point = this.#points[slot];
    return point === nothingThere ? -1 : point;
  }

  /** The id of a slot, for a message: looks through all of them. */
  idAt(slot: number): string {
    for (const [id, at] of this.#slots) if (at === slot) return String(id);
    return '';
  }
}

/** Ids that are whole numbers as a program writes them take less room as numbers: `7`, not `07`. */
function numberOf(id: string): number | null {
  if (id.length === 0 || id.length > 9 || (id.length > 1 && id.charCodeAt(0) === 48)) return null;
  let value = 0;
  for (let i = 0; i < id.length; i++) {
    const digit = id.charCodeAt(i) - 48;
    if (digit < 0 || digit > 9) return null;
    value = 10 * value + digit;
  }
  return value;
}
