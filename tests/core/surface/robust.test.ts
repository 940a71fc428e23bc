import { describe, expect, test } from 'vitest';
import { NormalEquations } from '#core/surface/normal.ts';
import { leastTrimmedSquares, median } from '#core/surface/robust.ts';
import { heart, stackLoss } from '../../helpers/publishedData.ts';

/** Numbers that count from 1, as the sources do. */
const fromOne = (indices: readonly number[]) => indices.map((i) => i + 1);

describe('least trimmed squares against published fits', () => {
  test('finds the exact best eight of the heart data', () => {
    // Rousseeuw & Leroy 1987; robustbase's saved test output, exact by enumeration of all 495 subsets.
    const rows = heart.map(([height, weight]) => [1, height, weight]);
    const fit = leastTrimmedSquares(
      rows,
      heart.map((h) => h[2]),
      8,
    )!;
    expect(fromOne(fit.kept)).toEqual([1, 2, 4, 5, 6, 7, 11, 12]);
    expect(fit.coefficients[0]).toBeCloseTo(63.3528, 4);
    expect(fit.coefficients[1]).toBeCloseTo(-1.2265, 4);
    expect(fit.coefficients[2]).toBeCloseTo(0.6884, 4);
    expect(fit.sumOfSquares).toBeCloseTo(2.9293179, 7);
  });

  test('shows runs 1, 3, 4 and 21 of the stack loss data for outliers, and the rest for the known fit', () => {
    // robustbase's saved test output for LTS with h = 13, reweighted: -37.6525, 0.7977, 0.5773, -0.0671.
    const rows = stackLoss.map(([air, water, acid]) => [1, air, water, acid]);
    const loss = stackLoss.map((s) => s[3]);
    const { coefficients } = leastTrimmedSquares(rows, loss, 13)!;
    const residuals = rows.map((row, i) => loss[i] - row.reduce((s, x, k) => s + x * coefficients[k], 0));
    // The source's cut is a multiple of its own scale with small-sample factors; the four it names stand out without:
    // the next largest residual is not half as large.
    const size = (i: number) => Math.abs(residuals[i]);
    const order = rows.map((_, i) => i).sort((i, j) => size(j) - size(i));
    const outliers = order.slice(0, 4).sort((i, j) => i - j);
    expect(fromOne(outliers)).toEqual([1, 3, 4, 21]);
    expect(size(order[4])).toBeLessThan(size(order[3]) / 2);
    const kept = new NormalEquations(4);
    kept.clear();
    rows.forEach((row, i) => {
      if (!outliers.includes(i)) kept.add(row, loss[i], 1);
    });
    expect(kept.solve()).toBe(true);
    [-37.6525, 0.7977, 0.5773, -0.0671].forEach((published, k) => {
      expect(kept.x[k]).toBeCloseTo(published, 4);
    });
  });

  test('the plain fit of the stack loss data is the textbook one', () => {
    // -39.9196744, 0.7156402, 1.2952861, -0.1521225: recomputed from the data.
    const equations = new NormalEquations(4);
    equations.clear();
    for (const [air, water, acid, loss] of stackLoss) equations.add([1, air, water, acid], loss, 1);
    expect(equations.solve()).toBe(true);
    expect(Array.from(equations.x, (x) => x.toFixed(7))).toEqual([
      '-39.9196744',
      '0.7156402',
      '1.2952861',
      '-0.1521225',
    ]);
  });
});

describe('least trimmed squares', () => {
  test('four wild values in twelve do not move a line', () => {
    const rows = Array.from({ length: 12 }, (_, i) => [1, i]);
    const values = rows.map(([, x], i) => (i % 3 === 0 ? 500 + i * i : 2 + 0.5 * x));
    const fit = leastTrimmedSquares(rows, values, 8)!;
    expect(fit.coefficients[0]).toBeCloseTo(2, 9);
    expect(fit.coefficients[1]).toBeCloseTo(0.5, 9);
    expect(fit.kept).toEqual([1, 2, 4, 5, 7, 8, 10, 11]);
  });

  test('many observations are started from an even sample of their subsets', () => {
    const rows = Array.from({ length: 60 }, (_, i) => [1, i % 8, Math.floor(i / 8)]);
    const values = rows.map(([, x, y], i) => (i < 15 ? 40 : 1 + 2 * x - y));
    const fit = leastTrimmedSquares(rows, values, 40)!;
    expect(fit.coefficients.map((c) => c.toFixed(6))).toEqual(['1.000000', '2.000000', '-1.000000']);
  });

  test('is null where nothing determines the unknowns', () => {
    expect(leastTrimmedSquares([], [], 0)).toBeNull();
    expect(leastTrimmedSquares([[1, 2]], [1], 1)).toBeNull();
    expect(
      leastTrimmedSquares(
        [
          [1, 1],
          [1, 1],
          [1, 1],
        ],
        [1, 2, 3],
        2,
      ),
    ).toBeNull();
    expect(leastTrimmedSquares([[1], [1]], [1, 2], 3)).toBeNull();
    expect(
      leastTrimmedSquares(
        [
          [1, 0],
          [1, 1],
        ],
        [1, 2],
        1,
      ),
    ).toBeNull();
  });

  test('gives up a start whose nearest observations all lie on one spot', () => {
    for (let k = 1; k < 30; k++) {
      const fit = leastTrimmedSquares(
        [
          [1, 0],
          [1, 0],
          [1, 0],
          [1, 5],
        ],
        [k / 7, k / 7, k / 7, k / 3.3],
        3,
      );
      if (fit) expect(fit.sumOfSquares).toBeCloseTo(0, 9);
    }
  });
});

describe('the median', () => {
  test('is the middle one, or the mean of the two in the middle', () => {
    expect(median([3, 1, 2])).toBe(2);
    expect(median([4, 1, 3, 2])).toBe(2.5);
    expect(median([])).toBeNaN();
  });
});
