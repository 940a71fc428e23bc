import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { drivingOrder, lengthOfWay, type RoutePlace } from '#core/route/drivingOrder.ts';
import { improve } from '#core/route/improve.ts';

const placed = (points: readonly (readonly [number, number])[]): RoutePlace[] =>
  points.map(([east, north], index) => ({ id: `P${String(index).padStart(4, '0')}`, east, north }));

const inOrder = (places: readonly RoutePlace[], ids: readonly string[]) =>
  ids.map((id) => places.find((place) => place.id === id)!);

function* permutations<T>(items: readonly T[]): Generator<T[]> {
  if (items.length === 0) yield [];
  for (const [index, item] of items.entries()) {
    for (const rest of permutations(items.toSpliced(index, 1))) yield [item, ...rest];
  }
}

function shortestOf(places: readonly RoutePlace[], from: { east: number; north: number }[] = []): number {
  let shortest = Infinity;
  for (const order of permutations(places)) shortest = Math.min(shortest, lengthOfWay([...from, ...order]));
  return shortest;
}

/** The same places for every run: a linear congruential generator, numbers of Park and Miller (1988). */
function scattered(count: number, seed: number): RoutePlace[] {
  let state = seed;
  const next = () => {
    state = (state * 48271) % 2147483647;
    return state / 2147483647;
  };
  return placed(Array.from({ length: count }, () => [next() * 3000, next() * 2000] as const));
}

describe('the driving order', () => {
  it('of no place is empty, and of one that place', () => {
    expect(drivingOrder([])).toEqual([]);
    expect(drivingOrder(placed([[5, 5]]))).toEqual(['P0000']);
    expect(drivingOrder([], { east: 0, north: 0 })).toEqual([]);
  });

  it('goes along a street from its western end', () => {
    const places = placed([
      [300, 4],
      [0, 0],
      [200, 2],
      [100, 8],
    ]);
    expect(drivingOrder(places)).toEqual(['P0001', 'P0003', 'P0002', 'P0000']);
  });

  it('goes from where it is told to start, which is no stop', () => {
    const places = placed([
      [0, 0],
      [100, 0],
      [200, 0],
    ]);
    expect(drivingOrder(places, { east: 260, north: 10 })).toEqual(['P0002', 'P0001', 'P0000']);
  });

  it('is the shortest of all permutations of seven places', () => {
    fc.assert(
      fc.property(
        fc.array(fc.tuple(fc.integer({ min: 0, max: 400 }), fc.integer({ min: 0, max: 400 })), {
          minLength: 7,
          maxLength: 7,
        }),
        (points) => {
          const places = placed(points);
          const way = inOrder(places, drivingOrder(places));
          expect(lengthOfWay(way)).toBeCloseTo(shortestOf(places), 6);
          expect(way[0].east).toBeLessThanOrEqual(way[6].east);
          const yard = { east: -50, north: 500 };
          const fromYard = inOrder(places, drivingOrder(places, yard));
          expect(lengthOfWay([yard, ...fromYard])).toBeCloseTo(shortestOf(places, [yard]), 6);
        },
      ),
      { numRuns: 10, seed: 7 },
    );
  });

  it('takes the place with the smaller id of two at one point first', () => {
    const places = placed([
      [50, 0],
      [50, 0],
      [0, 0],
      [0, 0],
    ]);
    expect(drivingOrder(places)).toEqual(['P0002', 'P0003', 'P0000', 'P0001']);
  });

  it.each([5, 11, 12, 13, 60])(
    'of %i places has each once and is the same however they are listed',
    (count) => {
      const places = scattered(count, 4711);
      const order = drivingOrder(places);
      expect([...order].sort()).toEqual(places.map(({ id }) => id));
      expect(drivingOrder([...places].reverse())).toEqual(order);
      const shuffled = places.map((place, index) => [(index * 7919) % 101, place] as const);
      shuffled.sort(([a], [b]) => a - b);
      expect(drivingOrder(shuffled.map(([, place]) => place))).toEqual(order);
    },
  );

  it('of many places is within a tenth of the expected shortest way', () => {
    // Beardwood, Halton and Hammersley (1959): the shortest way through n even places of an area A tends to
    // 0.7124 sqrt(n A) (the constant as it is usually given, from memory; edges add a few per cent at 500).
    const places = scattered(500, 99);
    const length = lengthOfWay(inOrder(places, drivingOrder(places)));
    const expected = 0.7124 * Math.sqrt(500 * 3000 * 2000);
    expect(length).toBeLessThan(1.1 * expected);
    expect(length).toBeGreaterThan(0.9 * expected);
  });

  it('straightens a way that crosses itself, and moves a stop that was passed', () => {
    const count = 4;
    const at = [
      [0, 0],
      [0, 10],
      [10, 10],
      [10, 0],
    ] as const;
    const metres = new Float64Array(16);
    for (let a = 0; a < 4; a++)
      for (let b = 0; b < 4; b++) metres[a * 4 + b] = Math.hypot(at[a][0] - at[b][0], at[a][1] - at[b][1]);
    expect(improve([0, 2, 1, 3], { count, metres })).toEqual([0, 1, 2, 3]);
  });
});
