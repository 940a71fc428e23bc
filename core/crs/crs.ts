import proj4 from 'proj4';

/** A projected coordinate reference system, as the EPSG register describes it. */
export interface CrsDefinition {
  /** EPSG code. */
  code: number;
  name: string;
  /** PROJ string; its false origin is in metres whatever the axes' unit. */
  proj4: string;
  /** Length of one unit of the axes, from the register. */
  metresPerUnit: number;
  unitName: string;
  /** Area of use in degrees; west > east where it spans the 180th meridian. */
  area: { west: number; south: number; east: number; north: number };
  /** What a user must know of its datum shift; absent where there is nothing to say. */
  caution?: string;
}

/** Between longitude, latitude (degrees) and grid easting, northing (METRES, whatever the axes' unit). */
export interface Projection {
  toLonLat(east: number, north: number): [lon: number, lat: number];
  fromLonLat(lon: number, lat: number): [east: number, north: number];
}

/**
 * `wgs84`: longitude and latitude as maps want them. `own`: on the definition's own datum, without any shift,
 * as the published worked examples give them.
 */
export type GeographicDatum = 'wgs84' | 'own';

/** @throws Error for a definition that proj4 cannot read, which `findCrs` never gives. */
export function makeProjection(definition: CrsDefinition, datum: GeographicDatum = 'wgs84'): Projection {
  const grid = inMetres(definition.proj4);
  const converter =
    datum === 'wgs84'
      ? proj4('+proj=longlat +datum=WGS84 +no_defs', grid)
      : proj4(ownGeographic(grid), withoutDatumShift(grid));
  return {
    toLonLat: (east, north) => {
      const [lon, lat] = converter.inverse([east, north]);
      return [lon, lat];
    },
    fromLonLat: (lon, lat) => {
      const [east, north] = converter.forward([lon, lat]);
      return [east, north];
    },
  };
}

/** Whether a place lies in the definition's area of use, which the register gives to about a hundredth of a degree. */
export function insideArea(definition: CrsDefinition, lon: number, lat: number): boolean {
  const { west, south, east, north } = definition.area;
  const between = west <= east ? lon >= west && lon <= east : lon >= west || lon <= east;
  return between && lat >= south && lat <= north;
}

function inMetres(definition: string): string {
  return `${definition.replace(/\s*\+(units|to_meter)=\S+/g, '')} +units=m`;
}

/** Ellipsoids of the datums that PROJ strings name. */
const ellipsoidOf: Readonly<Record<string, string>> = { WGS84: 'WGS84', NAD83: 'GRS80', NAD27: 'clrk66' };

function withoutDatumShift(definition: string): string {
  return definition
    .replace(/\s*\+(towgs84|nadgrids)=\S+/g, '')
    .replace(/\+datum=(\S+)/, (whole, name: string) =>
      Object.hasOwn(ellipsoidOf, name) ? `+ellps=${ellipsoidOf[name]}` : whole,
    );
}

function ownGeographic(definition: string): string {
  const ellipsoid = withoutDatumShift(definition).match(/\+(datum|ellps|a|b|rf|R|pm)=\S+/g) ?? [];
  return `+proj=longlat ${ellipsoid.join(' ')} +no_defs`;
}
