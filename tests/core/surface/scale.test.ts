import { describe, expect, test } from 'vitest';
import { pooledScale, upperFactor } from '#core/surface/scale.ts';
import { noise } from '../../helpers/site.ts';

const ones = (n: number) => new Array<number>(n).fill(1);

describe('the scale of pooled residuals', () => {
  test('of normal values is their standard deviation, and two wild ones in a hundred do not pull it', () => {
    const normal = noise(3);
    const values = Array.from({ length: 5000 }, () => Math.abs(0.004 * normal()));
    expect(pooledScale(values, ones(5000)) / 0.004).toBeCloseTo(1, 1);
    const wild = values.map((v, i) => (i % 50 === 0 ? 1 : v));
    expect(pooledScale(wild, ones(5000)) / 0.004).toBeLessThan(1.1);
  });

  test('counts values by their weights, and is nothing where all are nothing', () => {
    expect(pooledScale([1, 1, 5], [1, 1, 0])).toBeCloseTo(pooledScale([1, 1], [1, 1]), 9);
    expect(pooledScale([0, 0], [1, 1])).toBe(0);
  });

  // Chi-square, lower tenth: 4.865 for 10 and 46.459 for 60 degrees of freedom (tables of the distribution; from memory).
  test.each([
    [10, Math.sqrt(10 / 4.865)],
    [60, Math.sqrt(60 / 46.459)],
  ])(
    'may be larger than it was found, with %i to spare, by the lower tenth of chi-square',
    (freedom, factor) => {
      expect(upperFactor(freedom)).toBeCloseTo(factor, 2);
    },
  );
});
