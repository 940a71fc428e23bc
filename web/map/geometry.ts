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

/** The streets, each marked with whether the project has covers on it; null: as if it had on all. */
export function markStreets(
  streets: StreetCollection,
  covers: readonly CoverRow[] | null,
): GeoJSON.FeatureCollection {
  return markNamed(streets, covers?.map(({ street }) => street) ?? null);
}

/** The streets, each marked with whether it is one of these; null: all are. */
export function markNamed(
  streets: StreetCollection,
  names: readonly (string | null)[] | null,
): GeoJSON.FeatureCollection {
  const own = names && new Set(names);
  return {
    type: 'FeatureCollection',
    features: streets.features.map((feature) => ({
      type: 'Feature',
      geometry: feature.geometry,
      properties: {
        name: feature.properties.name,
        width: feature.properties.widthM ?? 9,
        isOwn: own === null || own.has(feature.properties.name),
      },
    })),
  };
}

/** Where the overlay ends on each street: across it, a little beyond the first and the last cover. */
export function overlayEnds(
  streets: StreetCollection,
  covers: readonly CoverRow[],
): GeoJSON.FeatureCollection {
  const spans = stationSpans(covers);
  const features = streets.features.flatMap(({ geometry, properties }) => {
    const span = spans.get(properties.name);
    if (!span) return [];
    const line = geometry.coordinates as unknown as Position[];
    return [Math.max(0, span[0] - 6), span[1] + 6].flatMap((station) => {
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

/** Least and greatest station of the covers on each street, in one pass: a city has thousands of streets. */
function stationSpans(covers: readonly CoverRow[]): Map<string, [least: number, greatest: number]> {
  const spans = new Map<string, [number, number]>();
  for (const { street, stationM } of covers) {
    if (street === null || stationM === null) continue;
    const span = spans.get(street);
    if (!span) spans.set(street, [stationM, stationM]);
    else {
      span[0] = Math.min(span[0], stationM);
      span[1] = Math.max(span[1], stationM);
    }
  }
  return spans;
}

export const noFeatures: GeoJSON.FeatureCollection = { type: 'FeatureCollection', features: [] };
