import { describe, expect, test } from 'vitest';
import { type CrsDefinition, makeProjection } from '#core/crs/crs.ts';
import { findCrs } from '../../../server/crs/epsg.ts';

function known(text: string): CrsDefinition {
  const found = findCrs(text);
  if ('message' in found) throw new Error(found.message);
  return found;
}

describe('units come from the register', () => {
  // EPSG register: NAD83 zones in international feet (unit 9002) and in US survey feet (unit 9003); 85 FR 62698.
  test.each([
    ['EPSG:2223', 0.3048],
    ['EPSG:2251', 0.3048],
    ['EPSG:2256', 0.3048],
    ['EPSG:2269', 0.3048],
    ['EPSG:2273', 0.3048],
    ['EPSG:2280', 0.3048],
    ['EPSG:6405', 0.3048],
    ['EPSG:2264', 1200 / 3937],
    ['EPSG:2225', 1200 / 3937],
    ['EPSG:2236', 1200 / 3937],
    ['EPSG:2263', 1200 / 3937],
    ['EPSG:2276', 1200 / 3937],
    ['EPSG:3435', 1200 / 3937],
    ['EPSG:3560', 1200 / 3937],
    ['EPSG:6418', 1200 / 3937],
    ['EPSG:6543', 1200 / 3937],
    ['EPSG:25832', 1],
  ])('%s counts in %f m', (code, metres) => {
    expect(known(code).metresPerUnit).toBe(metres);
  });

  test('a definition carries its name, its unit and its area of use', () => {
    expect(known(' epsg:2264 ')).toMatchObject({
      code: 2264,
      name: 'NAD83 / North Carolina (ftUS)',
      unitName: 'US survey foot',
      area: { west: -84.33, south: 33.83, east: -75.38, north: 36.59 },
    });
    expect(known('2264').code).toBe(2264);
  });

  test('a unit that is only given as a factor is read from it', () => {
    // EPSG:2314, Trinidad 1903 / Trinidad Grid (ftCla): Clarke's foot, 0.3047972654 m.
    expect(known('EPSG:2314').metresPerUnit).toBe(0.3047972654);
  });
});

/**
 * IOGP GIGS test series 5100 (v2.0, 2011) as carried in PROJ test/gigs: lon, lat in degrees on the system's own datum,
 * easting, northing in the axes' unit. Tolerance of the tests: 0.03 m.
 */
describe('GIGS points', () => {
  test.each([
    ['EPSG:2921', -110, 49, 2003937.27, 6452491.7],
    ['EPSG:2921', -110, 45, 2029255.57, 4985920.56],
    ['EPSG:2921', -110, 41, 2054436.57, 3527302.73],
    ['EPSG:2921', -108, 41, 2606245.52, 3543182.55],
    ['EPSG:2921', -102, 41, 4257435.06, 3666924.89],
    ['EPSG:3568', -110, 49, 2003933.27, 6452478.8],
    ['EPSG:3568', -110, 45, 2029251.51, 4985910.59],
    ['EPSG:3568', -110, 41, 2054432.46, 3527295.67],
    ['EPSG:3568', -108, 41, 2606240.3, 3543175.46],
    ['EPSG:3568', -102, 41, 4257426.54, 3666917.56],
    ['EPSG:32631', -2, 60, 221288.77, 6661953.041],
    ['EPSG:31370', 5, 53, 192504.921, 410490.433],
    ['EPSG:23700', 19.0485716667, 47.1443936111, 650000, 200000],
  ])('%s at %f, %f', (code, lon, lat, east, north) => {
    const definition = known(code);
    const projection = makeProjection(definition, 'own');
    const [gotEast, gotNorth] = projection.fromLonLat(lon, lat);
    expect(Math.abs(gotEast - east * definition.metresPerUnit)).toBeLessThan(0.03);
    expect(Math.abs(gotNorth - north * definition.metresPerUnit)).toBeLessThan(0.03);
    const [backLon, backLat] = projection.toLonLat(
      east * definition.metresPerUnit,
      north * definition.metresPerUnit,
    );
    expect(Math.abs(backLon - lon) * 85_000).toBeLessThan(0.03);
    expect(Math.abs(backLat - lat) * 111_000).toBeLessThan(0.03);
  });

  test('taking one Utah foot for the other moves a point 4.11 ft east, 7.06 ft north, 8.17 ft in all', () => {
    const feet = (code: string): number[] => {
      const definition = known(code);
      return makeProjection(definition, 'own')
        .fromLonLat(-110, 41)
        .map((metres) => metres / definition.metresPerUnit);
    };
    const [east, north] = feet('EPSG:2921').map((value, axis) => value - feet('EPSG:3568')[axis]);
    expect(east).toBeCloseTo(4.11, 2);
    expect(north).toBeCloseTo(7.06, 1);
    expect(Math.hypot(east, north)).toBeCloseTo(8.17, 1);
  });
});

describe('what cannot be worked in is refused in one line', () => {
  test.each([
    ['Carolina', 'notACrs', 'write its EPSG code'],
    ['', 'notACrs', 'write its EPSG code'],
    ['EPSG:99999', 'unknownCrs', 'no code 99999'],
    ['EPSG:4326', 'notProjected', 'WGS 84 is not a projected system'],
    ['EPSG:4978', 'notProjected', 'not a projected system'],
    ['EPSG:5703', 'notProjected', 'NAVD88'],
    ['EPSG:7405', 'notProjected', 'OSGB36 / British National Grid + ODN height'],
    ['EPSG:2053', 'axes', 'south or west'],
    ['EPSG:54012', 'projection', 'is not supported'],
  ])('%s: %s', (text, code, words) => {
    expect(findCrs(text)).toMatchObject({
      code,
      column: 'crs',
      value: text,
      row: null,
      message: expect.stringContaining(words),
    });
  });
});

test('a datum grid that is not carried is said, and does not stop the work', () => {
  const britain = known('EPSG:27700');
  expect(britain.caution).toContain('5 m');
  // Airy meridian point of the OS guide's area: the shift from OSGB36 to WGS 84 is some 100 m there.
  const [lon, lat] = makeProjection(britain).toLonLat(577274.98, 69740.49);
  expect(Math.hypot((lon - 0.5) * 71_000, (lat - 50.5) * 111_000)).toBeGreaterThan(60);
  expect(known('EPSG:26717').caution).toContain('NTv2_0.gsb');
  expect(known('EPSG:2264').caution).toBeUndefined();
  expect(known('EPSG:3857').caution).toBeUndefined();
});
