import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { readTapes } from '#core/surface/tapes.ts';

const spread = (least: number, most: number) =>
  fc.integer({ min: 0, max: 100_000 }).map((k) => least + ((most - least) * k) / 100_000);

describe('four measure-downs', () => {
  test('give back the plane they were taken from, whatever the bearing', () => {
    fc.assert(
      fc.property(
        spread(-0.06, 0.06),
        spread(-0.06, 0.06),
        spread(0, 6.28),
        spread(0.1, 0.6),
        (a, b, bearing, radius) => {
          const at = (turn: number) => {
            const azimuth = bearing + (turn * Math.PI) / 2;
            return 0.25 + radius * (a * Math.sin(azimuth) + b * Math.cos(azimuth));
          };
          const tapes = readTapes({ down: [at(0), at(1), at(2), at(3)], radius, bearing });
          expect(tapes.rise).toBeCloseTo(0.25, 12);
          expect(tapes.gradient[0]).toBeCloseTo(a, 10);
          expect(tapes.gradient[1]).toBeCloseTo(b, 10);
          expect(tapes.misclosure).toBeCloseTo(0, 12);
          expect(tapes.agrees).toBe(true);
        },
      ),
    );
  });

  test('that disagree by more than 3 mm, or by a limit of one’s own, are taken again', () => {
    const down: [number, number, number, number] = [0.2, 0.2, 0.2, 0.196];
    expect(readTapes({ down, radius: 0.35, bearing: 0 })).toMatchObject({ agrees: false });
    expect(readTapes({ down, radius: 0.35, bearing: 0 }).misclosure).toBeCloseTo(0.004, 12);
    expect(readTapes({ down, radius: 0.35, bearing: 0 }, 0.005).agrees).toBe(true);
  });

  test('without a radius or with a tape that is no number are a programmer’s error', () => {
    expect(() => readTapes({ down: [1, 1, 1, 1], radius: 0, bearing: 0 })).toThrow(/radius above 0/);
    expect(() => readTapes({ down: [1, Number.NaN, 1, 1], radius: 1, bearing: 0 })).toThrow(
      /a tape must be a number/,
    );
  });
});
