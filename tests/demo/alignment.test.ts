import { expect, test } from 'vitest';
import { bearingAt, makeAlignment, placeOf, stationOf } from '../../server/demo/alignment.ts';

// Plane geometry: a quarter circle of radius r turns the bearing by 90 degrees and ends r ahead and r aside.
test.each([
  [100, 100, 100, Math.PI / 2],
  [-100, -100, 100, -Math.PI / 2],
])('a quarter circle of radius %d ends at %d, %d', (radius, east, north, bearing) => {
  const line = makeAlignment(0, 0, 0, [{ length: (Math.PI / 2) * 100, radius }]);
  const [endEast, endNorth] = placeOf(line, { station: line.length, offset: 0 });
  expect(endEast).toBeCloseTo(east, 9);
  expect(endNorth).toBeCloseTo(north, 9);
  expect(bearingAt(line, line.length)).toBeCloseTo(bearing, 12);
});

test('legs join without a kink, and offsets are to the right', () => {
  const line = makeAlignment(1000, 2000, Math.PI / 2, [
    { length: 50, radius: 0 },
    { length: 80, radius: 120 },
    { length: 30, radius: -60 },
  ]);
  expect(line.length).toBe(160);
  for (const joint of [50, 130]) {
    expect(bearingAt(line, joint - 1e-9)).toBeCloseTo(bearingAt(line, joint), 9);
    const [east, north] = placeOf(line, { station: joint - 1e-9, offset: 3 });
    const [nextEast, nextNorth] = placeOf(line, { station: joint, offset: 3 });
    expect(Math.hypot(nextEast - east, nextNorth - north)).toBeLessThan(1e-6);
  }
  expect(placeOf(line, { station: 10, offset: 2 })).toEqual([1010, expect.closeTo(1998, 9)]);
});

test('a place beyond an end is measured along the line run on', () => {
  const line = makeAlignment(0, 0, 0, [{ length: 50, radius: 0 }]);
  expect(stationOf(line, 3, -10)).toEqual({ station: -10, offset: 3 });
  expect(stationOf(line, -4, 70)).toEqual({ station: 70, offset: -4 });
});
