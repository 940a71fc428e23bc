import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { distanceOutsideHull } from '#core/surface/hull.ts';

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
});
