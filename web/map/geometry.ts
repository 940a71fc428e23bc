import type { CoverRow } from '#shared/cover.ts';
import type { StreetCollection } from '#shared/street.ts';

type Position = readonly [lon: number, lat: number];

/** Metres in a degree of latitude on the sphere of Web Mercator; enough for drawing, never for measuring. */
const metresPerDegree = 111_319.49;

/** Place and direction at a distance along a line. Distances in metres, direction as a unit vector (east, north). */
export function pointAlong(
  line: readonly Position[],
  distance: number,
): { at: Position; direction: Position } | null {
  const cosine = Math.cos((line[0]?.[1] ?? 0) * (Math.PI / 180));
  let left = distance;
  for (let i = 1; i < line.length; i++) {
    const east = (line[i][0] - line[i - 1][0]) * metresPerDegree * cosine;
    const north = (line[i][1] - line[i - 1][1]) * metresPerDegree;
    const length = Math.hypot(east, north);
    if (length > 0 && (left <= length || i === line.length - 1)) {
      const part = left / length;
      const at: Position = [
        line[i - 1][0] + (line[i][0] - line[i - 1][0]) * part,
        line[i - 1][1] + (line[i][1] - line[i - 1][1]) * part,
      ];
      return { at, direction: [east / length, north / length] };
    }
    left -= length;
  }
  return null;
}

/** A line across a street at a station, `width` metres long. */
export function crossLine(line: readonly Position[], station: number, width: number): Position[] | null {
  const found = pointAlong(line, station);
  if (!found) return null;
  const { at, direction } = found;
  const cosine = Math.cos(at[1] * (Math.PI / 180));
  const [east, north] = [(-direction[1] * width) / 2, (direction[0] * width) / 2];
  const end = (sign: number): Position => [
    at[0] + (sign * east) / (metresPerDegree * cosine),
    at[1] + (sign * north) / metresPerDegree,
  ];
  return [end(-1), end(1)];
}

/** The streets, each marked with whether the project has covers on it. */
export function markStreets(
  streets: StreetCollection,
  covers: readonly CoverRow[],
): GeoJSON.FeatureCollection {
  const own = new Set(covers.map(({ street }) => street));
  return {
    type: 'FeatureCollection',
    features: streets.features.map((feature) => ({
      type: 'Feature',
      geometry: feature.geometry,
      properties: {
        name: feature.properties.name,
        width: feature.properties.widthM ?? 9,
        isOwn: own.has(feature.properties.name),
      },
    })),
  };
}

/** Where the overlay ends on each street: across it, a little beyond the first and the last cover. */
export function overlayEnds(
  streets: StreetCollection,
  covers: readonly CoverRow[],
): GeoJSON.FeatureCollection {
  const features = streets.features.flatMap(({ geometry, properties }) => {
    const stations = covers
      .filter(({ street, stationM }) => street === properties.name && stationM !== null)
      .map(({ stationM }) => stationM!);
    if (stations.length === 0) return [];
    const line = geometry.coordinates as unknown as Position[];
    return [Math.max(0, Math.min(...stations) - 6), Math.max(...stations) + 6].flatMap((station) => {
      const coordinates = crossLine(line, station, (properties.widthM ?? 9) * 1.5);
      return coordinates
        ? [
            {
              type: 'Feature' as const,
              properties: {},
              geometry: {
                type: 'LineString' as const,
                coordinates: coordinates as number[][] & [number, number][],
              },
            },
          ]
        : [];
    });
  });
  return { type: 'FeatureCollection', features };
}

export function coverPoints(covers: readonly CoverRow[]): GeoJSON.FeatureCollection {
  return {
    type: 'FeatureCollection',
    features: covers.map(({ id, lon, lat, status }) => ({
      type: 'Feature',
      geometry: { type: 'Point', coordinates: [lon, lat] },
      properties: { id, status: status ?? 'unplanned' },
    })),
  };
}

export const noFeatures: GeoJSON.FeatureCollection = { type: 'FeatureCollection', features: [] };
