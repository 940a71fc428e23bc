import type { Distances } from './drivingOrder.ts';

/**
 * The shortest open way from place 0 through all others, by the recurrence of Held and Karp (1962): the shortest way
 * through a set of places that ends at one of them comes from that of the set without it. Work grows with 2^n: for few.
 */
export function shortestOfFew({ count, metres }: Distances): number[] {
  const others = count - 1;
  if (others === 0) return [0];
  const sets = 1 << others;
  const lengths = new Float64Array(sets * others).fill(Infinity);
  const before = new Int8Array(sets * others).fill(-1);
  for (let end = 0; end < others; end++) lengths[(1 << end) * others + end] = metres[end + 1];
  for (let set = 1; set < sets; set++) {
    for (let end = 0; end < others; end++) {
      const so = lengths[set * others + end];
      if (so === Infinity) continue;
      for (let next = 0; next < others; next++) {
        if (set & (1 << next)) continue;
        const at = (set | (1 << next)) * others + next;
        const length = so + metres[(end + 1) * count + next + 1];
        if (length < lengths[at]) {
          lengths[at] = length;
          before[at] = end;
        }
      }
    }
  }
  return readBack(lengths, before, others);
}

function readBack(lengths: Float64Array, before: Int8Array, others: number): number[] {
  let set = (1 << others) - 1;
  let end = 0;
  for (let one = 1; one < others; one++) {
    if (lengths[set * others + one] < lengths[set * others + end]) end = one;
  }
  const order: number[] = [];
  while (end >= 0) {
    order.push(end + 1);
    const from = before[set * others + end];
    set &= ~(1 << end);
    end = from;
  }
  return [0, ...order.reverse()];
}
