import { describe, expect, it } from 'vitest';
import type { CoverRow } from '#shared/cover.ts';
import type { StreetCollection } from '#shared/street.ts';
import { crossLine, markStreets, overlayEnds, pointAlong } from '../../web/map/geometry.ts';

// On the equator a degree is 111 319.49 m both ways, on the sphere of Web Mercator (radius 6 378 137 m).
const degree = 111_319.49;
const bend = [
  [0, 0],
  [100 / degree, 0],
  [100 / degree, 50 / degree],
] as const;

describe('a place along a street', () => {
  it('lies on the part that its station falls in, and looks up-station', () => {
    const first = pointAlong(bend, 40)!;
    expect(first.at[0] * degree).toBeCloseTo(40, 4);
    expect(first.direction).toEqual([1, 0]);
    const second = pointAlong(bend, 130)!;
    expect(second.at[1] * degree).toBeCloseTo(30, 4);
    expect(second.direction[1]).toBeCloseTo(1, 9);
  });

  it('runs on along the last part past the end', () => {
    expect(pointAlong(bend, 170)!.at[1] * degree).toBeCloseTo(70, 4);
    expect(pointAlong([[0, 0]], 5)).toBeNull();
  });
});

describe('a line across a street', () => {
  it('is as long as asked and square to it', () => {
    const [one, two] = crossLine(bend, 40, 12)!;
    expect((one[0] - two[0]) * degree).toBeCloseTo(0, 4);
    expect(Math.abs(one[1] - two[1]) * degree).toBeCloseTo(12, 4);
  });
});

describe('the map’s features', () => {
  const cover = (id: string, stationM: number | null, street = 'Long Street') =>
    ({ id, lon: 1, lat: 2, status: null, street, stationM }) as unknown as CoverRow;
  const street = (name: string) => ({
    type: 'Feature' as const,
    id: name,
    geometry: { type: 'LineString' as const, coordinates: bend.map(([x, y]) => [x, y]) },
    properties: { name, widthM: null },
  });
  const streets: StreetCollection = {
    type: 'FeatureCollection',
    features: [street('Long Street'), street('Other Street')],
  };

  it('mark the project’s own streets', () => {
    const marks = markStreets(streets, [cover('A', 10)]).features.map(({ properties }) => properties?.isOwn);
    expect(marks).toEqual([true, false]);
  });

  it('end the overlay a little beyond its first and last cover, on its own streets only', () => {
    const { features } = overlayEnds(streets, [cover('A', 20), cover('B', 60), cover('C', null)]);
    expect(features).toHaveLength(2);
    const eastOf = (index: number) =>
      (features[index].geometry as GeoJSON.LineString).coordinates[0][0] * degree;
    expect(eastOf(0)).toBeCloseTo(14, 4);
    expect(eastOf(1)).toBeCloseTo(66, 4);
  });
});
