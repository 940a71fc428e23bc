import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { innerPlaces, spreadHours } from '../../web/drawings/taper-labels.ts';

const hour = fc.float({ min: 0, max: Math.fround(11.99), noNaN: true });
const between = (a: number, b: number) => Math.abs(((b - a + 18) % 12) - 6);

describe('labels of two tapered rings on a clock', () => {
  it('stand apart on the dial, in their order, and nowhere else than needed', () => {
    fc.assert(
      fc.property(hour, hour, (one, other) => {
        fc.pre(between(one, other) > 1e-6);
        const [first, second] = spreadHours([one, other]);
        expect(between(first, second)).toBeGreaterThan(1.09);
        if (between(one, other) >= 1.1) expect([first, second]).toEqual([one, other]);
        else expect(between(one, first)).toBeLessThan(0.56);
      }),
    );
    const [late, early] = spreadHours([11.8, 0.2]);
    expect([late, early].map((value) => Number(value.toFixed(2)))).toEqual([11.45, 0.55]);
  });

  it('never cover each other inside the dial', () => {
    fc.assert(
      fc.property(hour, hour, (one, other) => {
        const [a, b] = innerPlaces([one, other], 15);
        expect(Math.abs(a.y - b.y) >= 14.999 || Math.abs(a.x - b.x) >= 46).toBe(true);
      }),
    );
  });

  it('of one ring stands at its hour', () => {
    expect(spreadHours([4.5])).toEqual([4.5]);
    expect(innerPlaces([3], 20)).toEqual([{ x: expect.closeTo(20, 9), y: expect.closeTo(0, 9) }]);
  });
});
