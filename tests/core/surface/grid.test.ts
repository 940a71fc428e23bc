import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { PointGrid } from '#core/surface/grid.ts';

const coordinate = fc.integer({ min: -30_000, max: 30_000 }).map((k) => k / 1000);

const within = (grid: PointGrid, e: number, n: number, radius: number) => {
  const found: number[] = [99, 99, 99];
  const count = grid.within(e, n, radius, found);
  expect(found).toHaveLength(count);
  return found.sort((a, b) => a - b);
};

describe('the point grid', () => {
  test('finds what looking at every point finds', () => {
    fc.assert(
      fc.property(
        fc.array(fc.tuple(coordinate, coordinate), { maxLength: 60 }),
        coordinate,
        coordinate,
        fc.integer({ min: 0, max: 20 }),
        (points, e, n, radius) => {
          const grid = new PointGrid(
            Float64Array.from(points, (p) => p[0]),
            Float64Array.from(points, (p) => p[1]),
            4,
          );
          const all = points.flatMap(([x, y], i) => ((x - e) ** 2 + (y - n) ** 2 <= radius ** 2 ? [i] : []));
          expect(within(grid, e, n, radius)).toEqual(all);
        },
      ),
    );
  });

  test('answers at once for places no grid reaches', () => {
    const grid = new PointGrid(Float64Array.of(0, 1), Float64Array.of(0, 1), 4);
    for (const far of [1e9, -1e9, 1e18, -1e18, 1e300, Number.MAX_VALUE])
      for (const [e, n] of [
        [far, 0],
        [0, far],
        [far, far],
      ])
        expect(within(grid, e, n, 6)).toEqual([]);
    expect(within(new PointGrid(new Float64Array(0), new Float64Array(0), 4), 0, 0, 6)).toEqual([]);
  });
});
