import { describe, expect, test } from 'vitest';
import { slopeAlong } from '#core/units/slope.ts';
import { bearingAt, placeOf, stationOf } from '../../server/demo/alignment.ts';
import { makeRandom } from '../../server/demo/random.ts';
import { gradientAt, isOnOtherPavement, surfaceAt } from '../../server/demo/roadSurface.ts';
import { makeStreets } from '../../server/demo/streets.ts';

const streets = makeStreets(makeRandom(7));
const street = (id: string) => streets.find((candidate) => candidate.id === id)!;

test('a crowned street falls both ways from its centre line by its cross slope', () => {
  const gantry = street('avenue-gantry');
  const at = (offset: number): number => surfaceAt(gantry, { station: 700, offset });
  expect((at(0) - at(4)) / 4).toBeCloseTo(gantry.section.crossSlope, 9);
  expect((at(0) - at(-4)) / 4).toBeCloseTo(gantry.section.crossSlope, 9);
});

test('the parkway is crowned at its start and one plane across in its curve, high on the outside', () => {
  const parkway = street('weir-parkway');
  const rise = (station: number, from: number, to: number): number =>
    (surfaceAt(parkway, { station, offset: to }) - surfaceAt(parkway, { station, offset: from })) /
    (to - from);
  expect(rise(100, 0, 4)).toBeCloseTo(-0.02, 9);
  expect(rise(100, -4, 0)).toBeCloseTo(0.02, 9);
  expect(rise(400, 0, 4)).toBeCloseTo(0.042, 9);
  expect(rise(400, -4, 0)).toBeCloseTo(0.042, 9);
  // The curve turns left, so its outside is to the right.
  expect(bearingAt(parkway.line, 500)).toBeLessThan(bearingAt(parkway.line, 200));
});

test('the gradient is that of the surface, measured over a step on the ground', () => {
  const road = street('millrace-road');
  for (const place of [
    { station: 200, offset: 3 },
    { station: 400, offset: -3.5 },
  ]) {
    const [east, north] = placeOf(road.line, place);
    const gradient = gradientAt(road, place);
    for (const azimuth of [0, 1, 2, 3]) {
      const step = 0.2;
      const ahead = stationOf(road.line, east + step * Math.sin(azimuth), north + step * Math.cos(azimuth));
      const behind = stationOf(road.line, east - step * Math.sin(azimuth), north - step * Math.cos(azimuth));
      const slope = (surfaceAt(road, ahead) - surfaceAt(road, behind)) / (2 * step);
      expect(slopeAlong(gradient, azimuth)).toBeCloseTo(slope, 4);
    }
  }
});

describe('where two streets cross', () => {
  const gantry = street('avenue-gantry');
  const fennel = street('street-fennel');
  const crossing = stationOf(fennel.line, ...placeOf(gantry.line, { station: 45 + 4 * 112, offset: 0 }));

  test('the one that yields has the surface of the other', () => {
    const place = { station: crossing.station + 2, offset: 1 };
    const [east, north] = placeOf(fennel.line, place);
    expect(isOnOtherPavement(fennel, place)).toBe(true);
    expect(isOnOtherPavement(gantry, place)).toBe(false);
    expect(surfaceAt(fennel, place)).toBeCloseTo(surfaceAt(gantry, stationOf(gantry.line, east, north)), 9);
  });

  test('there is no step at the edge, nor where the warp ends', () => {
    const half = gantry.width / 2;
    for (const distance of [half, half + 18]) {
      const [near, far] = [-1e-6, 1e-6].map((nudge) =>
        surfaceAt(fennel, { station: crossing.station + distance + nudge, offset: 2 }),
      );
      expect(Math.abs(near - far)).toBeLessThan(1e-6);
    }
    expect(isOnOtherPavement(fennel, { station: crossing.station + half + 0.1, offset: 0 })).toBe(false);
  });
});
