import type { Distances } from './drivingOrder.ts';

/** Less than this is the noise of sums, not a shorter way. Metres. */
const noise = 1e-7;
/** Longest run of stops that is moved as one. */
const longestRun = 3;

/**
 * An open way made shorter until neither driving a stretch of it the other way round (2-opt, Croes 1958) nor moving a
 * run of up to three stops elsewhere, either way round (Or 1976), shortens it. Place 0 stays first; the end is free.
 */
export function improve(order: readonly number[], distances: Distances): number[] {
  let now = [...order];
  for (let better = true; better; ) {
    better = turnStretches(now, distances);
    for (let run = 1; run <= longestRun; run++) {
      const moved = moveRuns(now, distances, run);
      if (!moved) continue;
      now = moved;
      better = true;
    }
  }
  return now;
}

/** Turns stretches in place; whether any was. */
function turnStretches(order: number[], { count, metres }: Distances): boolean {
  let any = false;
  for (let from = 1; from < count - 1; from++) {
    for (let to = from + 1; to < count; to++) {
      const before = order[from - 1] * count;
      const isEnd = to === count - 1;
      const now = metres[before + order[from]] + (isEnd ? 0 : metres[order[to] * count + order[to + 1]]);
      const then = metres[before + order[to]] + (isEnd ? 0 : metres[order[from] * count + order[to + 1]]);
      if (!(then < now - noise)) continue;
      for (let a = from, b = to; a < b; a++, b--) [order[a], order[b]] = [order[b], order[a]];
      any = true;
    }
  }
  return any;
}

/** Every run of so many stops at its best place; null where none has a better one. */
function moveRuns(order: readonly number[], distances: Distances, run: number): number[] | null {
  let now = [...order];
  let any = false;
  for (let from = 1; from + run <= now.length; from++) {
    const moved = moveRun(now, distances, { from, run });
    if (!moved) continue;
    now = moved;
    any = true;
  }
  return any ? now : null;
}

function moveRun(
  order: readonly number[],
  { count, metres }: Distances,
  { from, run }: { from: number; run: number },
): number[] | null {
  const to = from + run - 1;
  const head = order[from] * count;
  const tail = order[to] * count;
  const isEnd = to === count - 1;
  const before = order[from - 1];
  const saved =
    metres[head + before] +
    (isEnd ? 0 : metres[tail + order[to + 1]] - metres[before * count + order[to + 1]]);
  let [gain, best, isTurned] = [noise, -1, false];
  for (let at = 0; at < count; at++) {
    if (at >= from - 1 && at <= to) continue;
    const last = order[at];
    const next = at === count - 1 ? -1 : order[at + 1];
    const open = next < 0 ? 0 : metres[last * count + next];
    const ahead = saved + open - metres[head + last] - (next < 0 ? 0 : metres[tail + next]);
    const turned = saved + open - metres[tail + last] - (next < 0 ? 0 : metres[head + next]);
    if (ahead > gain) [gain, best, isTurned] = [ahead, at, false];
    if (turned > gain) [gain, best, isTurned] = [turned, at, true];
  }
  if (best < 0) return null;
  const moved = order.slice(from, to + 1);
  if (isTurned) moved.reverse();
  const last = order[best];
  const rest = [...order.slice(0, from), ...order.slice(to + 1)];
  rest.splice(rest.indexOf(last) + 1, 0, ...moved);
  return rest;
}
