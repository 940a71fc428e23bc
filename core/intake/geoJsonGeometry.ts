import { position } from './thirdOrdinate.ts';
import type { RawGeometry, RawPosition } from './types.ts';

/** The parts of a geometry; none where it is null or empty. `fault` says why it could not be read. */
export interface ReadGeometry {
  parts: RawGeometry[];
  fault: string | null;
}

class GeometryFault extends Error {}

export const geometryTypes: ReadonlySet<string> = new Set([
  'Point',
  'MultiPoint',
  'LineString',
  'MultiLineString',
  'Polygon',
  'MultiPolygon',
  'GeometryCollection',
]);

/** Reads a geometry object (RFC 7946, 3.1) as parsed from JSON. */
export function readGeoJsonGeometry(value: unknown): ReadGeometry {
  try {
    return { parts: partsOf(value), fault: null };
  } catch (error) {
    if (error instanceof GeometryFault) return { parts: [], fault: error.message };
    throw error;
  }
}

function partsOf(value: unknown): RawGeometry[] {
  if (value === null || value === undefined) return [];
  if (typeof value !== 'object') throw new GeometryFault('a geometry is an object or null');
  const { type, coordinates, geometries } = value as Record<string, unknown>;
  switch (type) {
    case 'Point':
      return isEmpty(coordinates) ? [] : [point(coordinates)];
    case 'MultiPoint':
      return list(coordinates).map(point);
    case 'LineString':
      return isEmpty(coordinates) ? [] : [line(coordinates)];
    case 'MultiLineString':
      return list(coordinates).map(line);
    case 'Polygon':
      return isEmpty(coordinates) ? [] : [polygon(coordinates)];
    case 'MultiPolygon':
      return list(coordinates).map(polygon);
    case 'GeometryCollection':
      return list(geometries).flatMap(partsOf);
    default:
      throw new GeometryFault(
        `${JSON.stringify(type)?.slice(0, 40)} is not a type of geometry (RFC 7946, 1.4)`,
      );
  }
}

const isEmpty = (value: unknown) => Array.isArray(value) && value.length === 0;

function list(value: unknown): unknown[] {
  if (Array.isArray(value)) return value;
  throw new GeometryFault('the coordinates are not a list');
}

function positionOf(value: unknown): RawPosition {
  const [x, y, z] = list(value);
  if (typeof x !== 'number' || typeof y !== 'number')
    throw new GeometryFault('a position is a list of two or three numbers');
  const read = position(x, y, typeof z === 'number' ? z : null);
  if (read === null) throw new GeometryFault('a position is out of all range');
  return read;
}

function point(value: unknown): RawGeometry {
  return { type: 'point', position: positionOf(value) };
}

function line(value: unknown): RawGeometry {
  const positions = list(value).map(positionOf);
  if (positions.length < 2) throw new GeometryFault('a line needs two positions');
  return { type: 'line', positions };
}

function polygon(value: unknown): RawGeometry {
  const rings = list(value).map((ring) => list(ring).map(positionOf));
  if (rings.some((ring) => ring.length < 4))
    throw new GeometryFault('a ring of a polygon needs four positions');
  return { type: 'polygon', rings };
}
