import { describe, expect, it } from 'vitest';
import type { CoverCard } from '#shared/cover.ts';
import type { StreetCollection } from '#shared/street.ts';
import { boundsOf, coverPoints, placeFeatures, streetAzimuthDeg } from '../../../web/field/map/features.ts';
import type { CoverAtHole } from '../../../web/field/types.ts';

const cover = (id: string, lon: number, lat: number, more: Partial<CoverAtHole> = {}): CoverAtHole => ({
  card: { structure: { id, lon, lat, street: 'Fennel Street' }, stationM: 50 } as unknown as CoverCard,
  records: [],
  status: 'planned',
  plates: [],
  builtTo: null,
  conflicts: [],
  position: 1,
  ...more,
});

const street = (coordinates: [number, number][]): StreetCollection => ({
  type: 'FeatureCollection',
  features: [
    {
      type: 'Feature',
      id: '1',
      geometry: { type: 'LineString', coordinates },
      properties: { name: 'Fennel Street', widthM: null },
    },
  ],
});

describe('what a night’s map is drawn from', () => {
  it('gives each cover its number in driving order and its sign, also one without a status', () => {
    const { features } = coverPoints([cover('A', 1, 2), cover('B', 3, 4, { status: null, position: 2 })]);
    expect(features.map(({ properties, geometry }) => [properties, geometry.coordinates])).toEqual([
      [{ id: 'A', status: 'planned', number: '1' }, [1, 2]],
      [{ id: 'B', status: 'unplanned', number: '2' }, [3, 4]],
    ]);
  });

  it('holds all covers in its frame, and has none without covers', () => {
    expect(boundsOf([cover('A', -1, 2), cover('B', 3, -4)])).toEqual([-1, -4, 3, 2]);
    expect(boundsOf([])).toBeNull();
  });

  it('knows which way a street runs up-station, clockwise from north', () => {
    const at = cover('A', 0, 0);
    // By definition of an azimuth.
    for (const [end, azimuth] of [
      [[0, 0.01], 0],
      [[0.01, 0], 90],
      [[0, -0.01], 180],
      [[-0.01, 0], 270],
    ] as const)
      expect(streetAzimuthDeg(street([[0, 0], [...end]]), at)).toBeCloseTo(azimuth);
    expect(streetAzimuthDeg({ type: 'FeatureCollection', features: [] }, at)).toBeNull();
  });

  it('draws the circle of a position at its true size on the ground', () => {
    const [circle, dot] = placeFeatures({ longitude: 10, latitude: 60, accuracy: 25 }).features;
    expect(dot.geometry).toEqual({ type: 'Point', coordinates: [10, 60] });
    const [ring] = (circle.geometry as GeoJSON.Polygon).coordinates;
    expect(ring[0]).toEqual(ring.at(-1));
    // Great-circle distance by the haversine formula on a sphere of 6 371 008.8 m (mean radius, IUGG).
    const rad = Math.PI / 180;
    for (const [lon, lat] of ring) {
      const half =
        Math.sin(((lat - 60) * rad) / 2) ** 2 +
        Math.cos(60 * rad) * Math.cos(lat * rad) * Math.sin(((lon - 10) * rad) / 2) ** 2;
      const metres = 2 * 6_371_008.8 * Math.asin(Math.sqrt(half));
      expect(Math.abs(metres - 25)).toBeLessThan(0.1);
    }
  });
});
