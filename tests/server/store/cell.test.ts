import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { cellOf, cellRunsWithin, mercatorCellOf } from '../../../server/store/cell.ts';

const grid = fc.double({ min: -9_000_000, max: 9_000_000, noNaN: true });

describe('cells', () => {
  it('hold every place within reach of another, also across their edges', () => {
    const turn = fc.double({ min: 0, max: 2 * Math.PI, noNaN: true });
    fc.assert(
      fc.property(
        grid,
        grid,
        turn,
        fc.double({ min: 0, max: 30, noNaN: true }),
        (east, north, azimuth, distance) => {
          const cell = cellOf(east + distance * Math.sin(azimuth), north + distance * Math.cos(azimuth));
          // A millimetre more than the distance: its own rounding must not decide the test.
          const runs = cellRunsWithin(east, north, distance + 0.001);
          expect(runs.some(({ from, to }) => cell >= from && cell <= to)).toBe(true);
        },
      ),
    );
  });

  it('are whole numbers that a double holds exactly, for any place on Earth', () => {
    fc.assert(
      fc.property(
        fc.double({ min: -180, max: 180, noNaN: true }),
        fc.double({ min: -90, max: 90, noNaN: true }),
        (lon, lat) => {
          const cell = mercatorCellOf(lon, lat);
          expect(Number.isSafeInteger(cell)).toBe(true);
          expect(cell).toBeGreaterThan(0);
        },
      ),
    );
  });

  it('of different squares have different numbers', () => {
    expect(cellOf(19.9, 0)).toBe(cellOf(0, 19.9));
    expect(new Set([cellOf(0, 0), cellOf(20, 0), cellOf(0, 20), cellOf(-1, 0), cellOf(0, -1)]).size).toBe(5);
  });
});
