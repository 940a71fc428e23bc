import { shortestOfFew } from './fewPlaces.ts';
import { improve } from './improve.ts';

/** A place to stop at, in metres of the project's grid. Ids differ from each other. */
export interface RoutePlace {
  id: string;
  east: number;
  north: number;
}

/** Up to so many places the shortest way of all is found; over that, one that no small change makes shorter. */
export const mostExact = 10;

/**
 * Ids of places in the order they are driven to, an open way that does not come back: from `start`, which is no stop
 * itself, else from whichever end of the way lies farther west. Same places, same order, however they are listed.
 * Distances are straight lines, not the road network: one-way streets, medians and closures are the crew's to judge.
 */
export function drivingOrder(
  places: readonly RoutePlace[],
  start: { east: number; north: number } | null = null,
): string[] {
  const stops = [...places].sort((a, b) => (a.id < b.id ? -1 : 1));
  if (stops.length === 0) return [];
  const distances = distancesFrom(start, stops);
  const order =
    stops.length <= mostExact
      ? shortestOfFew(distances)
      : improve(nearestNext(distances, start ? null : mostWestern(stops) + 1), distances);
  const way = order.slice(1).map((index) => stops[index - 1]);
  const [first, last] = [way[0], way[way.length - 1]];
  if (!start && (last.east < first.east || (last.east === first.east && last.id < first.id))) way.reverse();
  return byIdWhereSame(way).map(({ id }) => id);
}

/** Stops at one point, one after the other: the smaller id first. */
function byIdWhereSame(way: readonly RoutePlace[]): RoutePlace[] {
  const sorted = [...way];
  for (let at = 1; at < sorted.length; at++) {
    for (let one = at; one > 0; one--) {
      const [before, now] = [sorted[one - 1], sorted[one]];
      if (before.east !== now.east || before.north !== now.north || before.id < now.id) break;
      [sorted[one - 1], sorted[one]] = [now, before];
    }
  }
  return sorted;
}

/** Metres of an open way through places as they are listed. */
export function lengthOfWay(places: readonly { east: number; north: number }[]): number {
  let length = 0;
  for (let at = 1; at < places.length; at++) {
    length += Math.hypot(places[at].east - places[at - 1].east, places[at].north - places[at - 1].north);
  }
  return length;
}

function mostWestern(places: readonly RoutePlace[]): number {
  let best = 0;
  for (const [index, { east, north }] of places.entries()) {
    const now = places[best];
    if (east < now.east || (east === now.east && north < now.north)) best = index;
  }
  return best;
}

/** All distances, row by row; `of(a, b)` is `metres[a * count + b]`. */
export interface Distances {
  count: number;
  metres: Float64Array;
}

/** Place 0 is the start, as far as it is from each; without one it lies next to all, so that the first stop is free. */
function distancesFrom(
  start: { east: number; north: number } | null,
  stops: readonly { east: number; north: number }[],
): Distances {
  const count = stops.length + 1;
  const metres = new Float64Array(count * count);
  const places = [start, ...stops];
  for (const [a, one] of places.entries()) {
    for (let b = a + 1; b < count; b++) {
      const other = places[b]!;
      const length = one ? Math.hypot(one.east - other.east, one.north - other.north) : 0;
      metres[a * count + b] = length;
      metres[b * count + a] = length;
    }
  }
  return { count, metres };
}

/** From place 0, by way of `first` where it is given, always on to the nearest that was not driven to. */
function nearestNext({ count, metres }: Distances, first: number | null): number[] {
  const order = first === null ? [0] : [0, first];
  const left = new Set(Array.from({ length: count - 1 }, (_, index) => index + 1));
  if (first !== null) left.delete(first);
  while (left.size > 0) {
    const row = order[order.length - 1] * count;
    let nearest = -1;
    for (const one of left) if (nearest < 0 || metres[row + one] < metres[row + nearest]) nearest = one;
    order.push(nearest);
    left.delete(nearest);
  }
  return order;
}
