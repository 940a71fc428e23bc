import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { depthInHull, distanceOutsideHull, pastHull } from '#core/surface/hull.ts';

const outside = (points: [number, number][], use?: Uint8Array) =>
  distanceOutsideHull(
    points.map((p) => p[0]),
    points.map((p) => p[1]),
    points.length,
    use,
  );

const coordinate = fc.integer({ min: -50, max: 50 });

/** Greatest over all directions of how far every point lies past the origin: the distance, by the separating line. */
function bySeparation(points: [number, number][]): number {
  let most = 0;
  for (let k = 0; k < 7200; k++) {
    const u = Math.sin((Math.PI * k) / 3600);
    const v = Math.cos((Math.PI * k) / 3600);
    most = Math.max(most, Math.min(...points.map(([x, y]) => x * u + y * v)));
  }
  return most;
}

describe('distance outside the hull of the shots', () => {
  test('is what the best separating line shows', () => {
    fc.assert(
      fc.property(fc.array(fc.tuple(coordinate, coordinate), { minLength: 1, maxLength: 9 }), (points) => {
        expect(Math.abs(outside(points) - bySeparation(points))).toBeLessThan(0.05);
      }),
      { numRuns: 150 },
    );
  });

  test('counts only the points in use', () => {
    const square: [number, number][] = [
      [-1, -1],
      [1, -1],
      [1, 1],
      [-1, 1],
    ];
    expect(outside(square)).toBe(0);
    expect(outside(square, Uint8Array.of(0, 1, 1, 0))).toBe(1);
    expect(outside(square, Uint8Array.of(0, 0, 0, 0))).toBe(Infinity);
    expect(outside([[3, 4]])).toBe(5);
  });

  test('a circle stands out past it by its radius less the depth of its centre', () => {
    fc.assert(
      fc.property(
        fc.array(fc.tuple(coordinate, coordinate), { maxLength: 12 }),
        fc.integer({ min: 0, max: 40 }),
        (points, radius) => {
          const x = points.map((p) => p[0]);
          const y = points.map((p) => p[1]);
          const use = Uint8Array.from(points, (_, i) => (i % 5 === 4 ? 0 : 1));
          const asked = (marked?: Uint8Array) => pastHull(radius, { x, y, n: points.length }, marked);
          const due = (marked?: Uint8Array) => Math.max(0, radius - depthInHull(x, y, points.length, marked));
          for (const marked of [undefined, use]) {
            if (due(marked) === Infinity) expect(asked(marked)).toBe(Infinity);
            else expect(asked(marked)).toBeCloseTo(due(marked), 9);
          }
        },
      ),
      { numRuns: 400 },
    );
  });

  test('inside, the depth is what the nearest side shows; outside it is negative', () => {
    const depth = (points: [number, number][], use?: Uint8Array) =>
      depthInHull(
        points.map((p) => p[0]),
        points.map((p) => p[1]),
        points.length,
        use,
      );
    const square: [number, number][] = [
      [-2, -1],
      [3, -1],
      [3, 4],
      [-2, 4],
    ];
    expect(depth(square)).toBe(1);
    // Without its corner at -2, 4 the nearest side runs from -2, -1 to 3, 4.
    expect(depth(square, Uint8Array.of(1, 1, 1, 0))).toBeCloseTo(1 / Math.SQRT2, 12);
    expect(depth([[3, 4]])).toBe(-5);
    expect(depth([])).toBe(-Infinity);
    fc.assert(
      fc.property(fc.array(fc.tuple(coordinate, coordinate), { minLength: 3, maxLength: 9 }), (points) => {
        expect(Math.max(0, -depth(points))).toBeCloseTo(outside(points), 12);
      }),
      { numRuns: 150 },
    );
  });
});
