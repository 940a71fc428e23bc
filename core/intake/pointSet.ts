import type { PointSet, RawShot } from './types.ts';

/** Shots handed out at once. */
const batch = 5000;

/** A set of points that are all in memory. */
export function makePointSet(name: string, count: number, shots: () => AsyncGenerator<RawShot[]>): PointSet {
  return { name, count, sigmaUnit: null, shots };
}

export function inBatches(
  length: number,
  shotAt: (index: number) => RawShot,
  leftOut: (index: number) => boolean = () => false,
): () => AsyncGenerator<RawShot[]> {
  return async function* shots() {
    for (let from = 0; from < length; from += batch) {
      const some: RawShot[] = [];
      for (let i = from; i < Math.min(length, from + batch); i++) if (!leftOut(i)) some.push(shotAt(i));
      if (some.length > 0) yield some;
    }
  };
}
