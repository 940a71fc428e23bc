import proj4 from 'proj4';
import { describe, expect, it } from 'vitest';
import {
  castingGaps,
  farFrom,
  flatFrom,
  frameOf,
  type LonLat,
  middleOf,
  windOf,
} from '../../web/imports/frame.ts';

const origin: LonLat = [-80.8, 35.2];
/** A place so many metres east and north of the origin, on the plane that the pictures are drawn on. */
const at = (east: number, north: number): LonLat => {
  const perDegree = flatFrom(origin)([origin[0], origin[1] + 1])[1];
  const perDegreeEast = flatFrom(origin)([origin[0] + 1, origin[1]])[0];
  return [origin[0] + east / perDegreeEast, origin[1] + north / perDegree];
};
const limits = [...at(-600, -500), ...at(600, 500)];

describe('the pictures of readings', () => {
  it('lay places on a plane as a transverse Mercator round the same place does, within half a per cent', () => {
    const local = proj4(`+proj=tmerc +lat_0=${origin[1]} +lon_0=${origin[0]} +k=1 +datum=WGS84 +units=m`);
    const [east, north] = local.forward([-80.79, 35.207]);
    const flat = flatFrom(origin)([-80.79, 35.207]);
    // The sphere of the pictures is up to 0.3 % off the ellipsoid.
    expect(flat[0] / east).toBeCloseTo(1, 2);
    expect(flat[1] / north).toBeCloseTo(1, 2);
  });

  it('say how far and which way: Paris to New York is 5,837 km on a sphere, leaving at 292 degrees', () => {
    // 48.8566 N 2.3522 E to 40.7128 N 74.0060 W: 5837 km by the haversine formula, initial bearing 291.8; from memory.
    const { distance, azimuth } = farFrom([2.3522, 48.8566], [-74.006, 40.7128]);
    expect(Math.round(distance / 1000)).toBe(5837);
    expect(azimuth).toBeCloseTo(291.8, 1);
    expect(windOf(azimuth)).toBe('west');
    expect([0, 44, 90, 181, 359].map(windOf)).toEqual(['north', 'northeast', 'east', 'south', 'north']);
  });

  it('show the whole project where readings lie far apart', () => {
    const frame = frameOf([[at(0, 0)], [at(1e6, 0)]], { limits, castings: [] })!;
    expect(frame.isClose).toBe(false);
    expect(frame.width).toBeGreaterThanOrEqual(1200);
  });

  it('come close enough to see a foot from the other, at the casting that a reading meets', () => {
    const castings = [at(200, 100), at(-300, 50)];
    const right = [at(200.1, 100), at(10, 10)];
    const wrong = [at(201.1, 100), at(11, 10)];
    const far = [at(900_000, 0), at(900_010, 0)];
    const frame = frameOf([far, wrong, right], { limits, castings })!;
    expect(frame.isClose).toBe(true);
    expect(frame.width).toBeLessThan(20);
    expect(frame.centre[0]).toBeCloseTo(200, 3);
    expect(frame.centre[1]).toBeCloseTo(100, 3);
  });

  it('have no frame where nothing is known', () => {
    expect(frameOf([[], []], { limits: null, castings: [] })).toBeNull();
    expect(middleOf([])).toBeNull();
  });
});

describe('how far rims land from their castings', () => {
  const castings = [at(0, 0), at(50, 0), at(0, 80)];
  const right = [...castings, at(3, 0), at(52.5, 1)];
  const moved = right.map((place) => {
    const [east, north] = flatFrom(origin)(place);
    return at(east + 1.2, north);
  });

  it('measures the same rims in every reading', () => {
    const gaps = castingGaps([moved, right], castings, origin);
    expect(gaps[0]).toBeCloseTo(1.2, 3);
    expect(gaps[1]).toBeCloseTo(0, 3);
  });

  it('says nothing where no reading lays anything on castings', () => {
    expect(castingGaps([[at(3, 0), at(9, 9)]], castings, origin)).toEqual([null]);
    expect(castingGaps([right], [], origin)).toEqual([null]);
  });

  it('says nothing where pavement shots lie beside castings by chance, as often in one reading as in the other', () => {
    const chance = [at(0.1, 0), at(50.1, 0), at(7, 80), at(1.2, 0), at(51.2, 0), at(8.1, 80)];
    const other = chance.map((place) => {
      const [east, north] = flatFrom(origin)(place);
      return at(east - 1.1, north);
    });
    expect(castingGaps([chance, other], castings, origin)).toEqual([null, null]);
    expect(castingGaps([chance], castings, origin)).toEqual([null]);
  });
});
