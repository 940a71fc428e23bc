import type { Counted, LeftOutReason } from './countCover.ts';

/** Sums over covers. */
export class Tally {
  covers = 0;
  toBuild = 0;
  ringless = 0;
  built = 0;
  leftOut = 0;
  /** Rings that are still to be set, by id. */
  readonly needed = new Map<string, number>();
  /** Rings that stand already, by id. */
  readonly standing = new Map<string, number>();
  readonly why = new Map<LeftOutReason, number>();

  add({ as, why, needed, standing }: Counted): void {
    this.covers += 1;
    this[as] += 1;
    for (const ring of needed) count(this.needed, ring);
    for (const ring of standing) count(this.standing, ring);
    if (why !== null) count(this.why, why);
  }
}

function count<Key>(into: Map<Key, number>, key: Key): void {
  into.set(key, (into.get(key) ?? 0) + 1);
}

export const sumOf = (counts: ReadonlyMap<string, number>): number => {
  let sum = 0;
  for (const each of counts.values()) sum += each;
  return sum;
};
