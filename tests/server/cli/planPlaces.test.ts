import { describe, expect, test } from 'vitest';
import { makeProjection } from '#core/crs/crs.ts';
import type { Cover } from '#core/plan/types.ts';
import { shotsApart, stretchedGrid } from '../../../server/cli/planPlaces.ts';
import { findCrs } from '../../../server/crs/epsg.ts';
import { coverAt, shot } from '../../helpers/site.ts';

const crsOf = (code: string) => {
  const crs = findCrs(code);
  if ('message' in crs) throw new Error(crs.message);
  return crs;
};
const files = { shots: 'shots.csv', structures: 'structures.csv' };
const said = (
  code: string,
  shots: readonly [number, number][],
  covers: readonly [number, number][],
): string | null => {
  const crs = crsOf(code);
  const each = covers.map(([east, north], i): Cover => coverAt({ id: `C-${i}`, east, north }));
  return shotsApart(
    shots.map(([east, north]) => shot(east, north, 100)),
    each,
    { crs, projection: makeProjection(crs), files },
  );
};

/** A street in the middle of the area of use, in metres of the grid. */
const street = (east: number, north: number) =>
  [0, 20, 40, 60, 80].map((along): [number, number] => [east + along, north + 3]);
const swap = (places: readonly [number, number][]) => places.map(([e, n]): [number, number] => [n, e]);
const times = (places: readonly [number, number][], factor: number) =>
  places.map(([e, n]): [number, number] => [e * factor, n * factor]);
const metric = street(604_000, 5_401_000);
/** North Carolina, US survey feet, given in metres. */
const carolina = street(445_000, 180_000);

describe('shots that lie elsewhere than the structures', () => {
  test('nothing is said where they lie together, or a part of either does', () => {
    expect(said('EPSG:25832', metric, metric)).toBeNull();
    expect(said('EPSG:25832', [...metric, ...street(600_000, 5_401_000)], metric)).toBeNull();
    expect(said('EPSG:25832', metric, [metric[0], ...street(600_000, 5_401_000)])).toBeNull();
    expect(said('EPSG:25832', [], metric)).toBeNull();
    expect(said('EPSG:25832', metric, [])).toBeNull();
  });

  test('the file with swapped coordinates is the one outside the area of use', () => {
    expect(said('EPSG:25832', swap(metric), metric)).toBe(
      'northing and easting of shots.csv look as if they were swapped: so read, they lie about the structures',
    );
    expect(said('EPSG:25832', metric, swap(metric))).toBe(
      'northing and easting of structures.csv look as if they were swapped: so read, they lie about the shots',
    );
  });

  test('metres for feet and feet for metres are told', () => {
    expect(said('EPSG:2264', times(carolina, 0.3048), carolina)).toMatch(
      /of shots\.csv look as if they were in metres, not in feet/,
    );
    expect(said('EPSG:25832', times(metric, 1 / 0.3048), metric)).toMatch(
      /of shots\.csv look as if they were in feet, not in metres/,
    );
    expect(said('EPSG:25832', metric, times(metric, 1 / 0.3048))).toMatch(
      /of structures\.csv look as if they were in feet, not in metres/,
    );
  });

  test('else how far apart they lie and which way, in the unit of the grid', () => {
    expect(said('EPSG:25832', street(605_500, 5_398_000), metric)).toBe(
      '5 of 5 structures have no shot of shots.csv within 50 m; its middle lies 3000 m south and 1500 m east of that of structures.csv',
    );
    expect(said('EPSG:2264', street(444_695.2, 180_304.8), carolina)).toMatch(
      /1000 ft north and 1000 ft west/,
    );
  });
});

describe('a grid whose metres are not those of the ground', () => {
  // Scale of the Mercator projection: 1 / cos(latitude) on the sphere (Snyder, Map Projections, 1987, eq. 7-3).
  test('is told, with what a metre of it comes to', () => {
    const projection = makeProjection(crsOf('EPSG:3857'));
    const [east, north] = projection.fromLonLat(10, 48);
    const line = stretchedGrid([coverAt({ east, north })], projection);
    const ground = Number(/is ([\d.]+) m on the ground/.exec(line!)![1]);
    // Web Mercator takes the ellipsoid for a sphere: along the meridian that is another 0.3 % here.
    expect(ground / Math.cos((48 * Math.PI) / 180)).toBeCloseTo(1, 2);
  });

  test('national grids are true enough', () => {
    for (const [code, [east, north]] of [
      ['EPSG:25832', metric[0]],
      ['EPSG:2264', carolina[0]],
    ] as const)
      expect(stretchedGrid([coverAt({ east, north })], makeProjection(crsOf(code)))).toBeNull();
    expect(stretchedGrid([], makeProjection(crsOf('EPSG:3857')))).toBeNull();
  });
});
