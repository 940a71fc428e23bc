import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { fitPlane } from '#core/surface/plane.ts';
import { delivery, pontius } from '../../helpers/publishedData.ts';

const near = (actual: number, published: number, relative: number) =>
  expect(Math.abs(actual / published - 1), `${actual} against ${published}`).toBeLessThan(relative);

describe('the plane fit against published fits', () => {
  test('finds the plane of the delivery time data', () => {
    // Montgomery & Peck, Introduction to Linear Regression Analysis, 1982, p. 116: 2.341, 1.616, 0.01438; the further
    // digits recomputed.
    const fit = fitPlane(delivery.map(([x, y, z]) => ({ x, y, z })))!;
    expect(fit.intercept).toBeCloseTo(2.34123115, 8);
    expect(fit.east).toBeCloseTo(1.61590721, 8);
    expect(fit.north).toBeCloseTo(0.01438483, 8);
    expect(fit.standardError.intercept).toBeCloseTo(1.09673017, 8);
    expect(fit.standardError.east).toBeCloseTo(0.17073492, 8);
    expect(fit.standardError.north).toBeCloseTo(0.00361309, 8);
    expect(fit.residualDeviation).toBeCloseTo(3.25947345, 8);
  });

  test('keeps nine digits of the certified values of NIST Pontius, badly scaled as it is', () => {
    // NIST StRD, Pontius: y = B0 + B1 x + B2 x^2 is a plane in the columns x and x^2. Certified to 15 digits.
    const fit = fitPlane(pontius.map(([x, y]) => ({ x, y: x * x, z: y })))!;
    near(fit.intercept, 0.673565789473684e-3, 1e-9);
    near(fit.east, 0.732059160401003e-6, 1e-9);
    near(fit.north, -0.316081871345029e-14, 1e-9);
    near(fit.standardError.intercept, 0.107938612033077e-3, 1e-9);
    near(fit.standardError.east, 0.157817399981659e-9, 1e-9);
    near(fit.standardError.north, 0.486652849992036e-16, 1e-9);
    near(fit.residualDeviation, 0.205177424076185e-3, 1e-9);
  });
});

const coordinate = fc.integer({ min: -5000, max: 5000 }).map((k) => k / 1000);
const points = fc.array(fc.record({ x: coordinate, y: coordinate, z: coordinate }), {
  minLength: 4,
  maxLength: 12,
});
const spans = (list: readonly { x: number; y: number }[]) => {
  const [a, ...rest] = list;
  return rest.some((b) =>
    rest.some((c) => Math.abs((b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x)) > 1),
  );
};

describe('the plane fit', () => {
  test('is found again wherever the site lies in its grid', () => {
    fc.assert(
      fc.property(points.filter(spans), (list) => {
        const here = fitPlane(list)!;
        const there = fitPlane(list.map((p) => ({ x: p.x + 612_000, y: p.y + 5_334_000, z: p.z + 842 })))!;
        expect(there.east).toBeCloseTo(here.east, 7);
        expect(there.north).toBeCloseTo(here.north, 7);
        expect(there.residualDeviation).toBeCloseTo(here.residualDeviation, 7);
      }),
    );
  });

  test('a weight of two counts like the same shot taken twice', () => {
    fc.assert(
      fc.property(points.filter(spans), (list) => {
        const weighted = fitPlane(
          list,
          list.map((_, i) => (i === 0 ? 2 : 1)),
        )!;
        const doubled = fitPlane([list[0], ...list])!;
        expect(weighted.east).toBeCloseTo(doubled.east, 8);
        expect(weighted.intercept).toBeCloseTo(doubled.intercept, 8);
      }),
    );
  });

  test('three points leave no residual and nothing to judge it by', () => {
    const fit = fitPlane([
      { x: 0, y: 0, z: 1 },
      { x: 1, y: 0, z: 2 },
      { x: 0, y: 1, z: 4 },
    ])!;
    expect(fit).toMatchObject({ residualDeviation: 0 });
    expect([fit.intercept, fit.east, fit.north].map((v) => v.toFixed(12))).toEqual([
      '1.000000000000',
      '1.000000000000',
      '3.000000000000',
    ]);
  });

  test('two points, points on one spot and points on one line make no plane', () => {
    const line = (dx: number, dy: number) =>
      [0, 1, 2, 5].map((k) => ({ x: 7 + k * dx, y: 9 + k * dy, z: k }));
    expect(fitPlane(line(1, 1).slice(0, 2))).toBeNull();
    expect(fitPlane(line(0, 0))).toBeNull();
    expect(fitPlane(line(1, 0))).toBeNull();
    expect(fitPlane(line(0, 1))).toBeNull();
    expect(fitPlane(line(0.3, 0.7))).toBeNull();
  });
});
