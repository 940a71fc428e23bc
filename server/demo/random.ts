/** A seeded source of random numbers: the same seed makes the same town on every machine. */
export interface Random {
  /** Even in [least, most). */
  between(least: number, most: number): number;
  /** Gaussian with mean 0. */
  normal(sigma: number): number;
  chance(probability: number): boolean;
  pick<T>(from: readonly T[]): T;
  /** The same things in another order. */
  shuffled<T>(from: readonly T[]): T[];
}

/** Mulberry32, a public-domain 32-bit generator, with the Box-Muller transform for the Gaussian. */
export function makeRandom(seed: number): Random {
  let state = seed | 0;
  const next = (): number => {
    state = (state + 0x6d2b79f5) | 0;
    let mixed = Math.imul(state ^ (state >>> 15), 1 | state);
    mixed = (mixed + Math.imul(mixed ^ (mixed >>> 7), 61 | mixed)) ^ mixed;
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 4294967296;
  };
  return {
    between: (least, most) => least + (most - least) * next(),
    normal: (sigma) => sigma * Math.sqrt(-2 * Math.log(1 - next())) * Math.cos(2 * Math.PI * next()),
    chance: (probability) => next() < probability,
    pick: (from) => from[Math.floor(next() * from.length)],
    shuffled: (from) => {
      const list = [...from];
      for (let last = list.length - 1; last > 0; last--) {
        const other = Math.floor(next() * (last + 1));
        [list[last], list[other]] = [list[other], list[last]];
      }
      return list;
    },
  };
}
