import type { StreetCollection } from '#shared/street.ts';
import { pointAlong } from '../../map/geometry.ts';
import type { CoverAtHole } from '../types.ts';

type Bounds = [west: number, south: number, east: number, north: number];

/** Metres in a degree of latitude; enough for drawing, never for measuring. */
const metresPerDegree = 111_319.49;

/** Tonight's covers as points, each with its number in driving order and how it stands. */
export function coverPoints(covers: readonly CoverAtHole[]): GeoJSON.FeatureCollection<GeoJSON.Point> {
  return {
    type: 'FeatureCollection',
    features: covers.map(({ card: { structure }, status, position }) => ({
      type: 'Feature',
      properties: { id: structure.id, status: status ?? 'unplanned', number: String(position) },
      geometry: { type: 'Point', coordinates: [structure.lon, structure.lat] },
    })),
  };
}

/** What holds all of the covers; null where there is none. */
export function boundsOf(covers: readonly CoverAtHole[]): Bounds | null {
  if (covers.length === 0) return null;
  const bounds: Bounds = [180, 90, -180, -90];
  for (const { card } of covers) {
    const { lon, lat } = card.structure;
    bounds[0] = Math.min(bounds[0], lon);
    bounds[1] = Math.min(bounds[1], lat);
    bounds[2] = Math.max(bounds[2], lon);
    bounds[3] = Math.max(bounds[3], lat);
  }
  return bounds;
}

/** Degrees clockwise from north in which the street of a cover runs up-station there; null where that is not known. */
export function streetAzimuthDeg(streets: StreetCollection, { card }: CoverAtHole): number | null {
  const { street } = card.structure;
  const line = streets.features.find(({ properties }) => properties.name === street);
  if (!line || card.stationM === null) return null;
  const found = pointAlong(line.geometry.coordinates as unknown as [number, number][], card.stationM);
  if (!found) return null;
  const [east, north] = found.direction;
  return ((Math.atan2(east, north) * 180) / Math.PI + 360) % 360;
}

export interface Place {
  longitude: number;
  latitude: number;
  /** How far off the phone says that it may be, in metres. */
  accuracy: number;
}

/** A dot where the phone is, in the circle that it may be in. */
export function placeFeatures({ longitude, latitude, accuracy }: Place): GeoJSON.FeatureCollection {
  const sides = 64;
  const cosine = Math.cos((latitude * Math.PI) / 180);
  const ring = Array.from({ length: sides + 1 }, (_, side) => {
    const angle = (2 * Math.PI * (side % sides)) / sides;
    return [
      longitude + (accuracy * Math.sin(angle)) / (metresPerDegree * cosine),
      latitude + (accuracy * Math.cos(angle)) / metresPerDegree,
    ];
  });
  return {
    type: 'FeatureCollection',
    features: [
      { type: 'Feature', properties: {}, geometry: { type: 'Polygon', coordinates: [ring] } },
      { type: 'Feature', properties: {}, geometry: { type: 'Point', coordinates: [longitude, latitude] } },
    ],
  };
}
