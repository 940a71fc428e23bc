import { type CrsDefinition, makeProjection } from '#core/crs/crs.ts';
import { metresPer } from '#core/units/length.ts';
import type { ImportPreview } from '#shared/staged-import.ts';
import { crsLookup } from '../intake/lookup.ts';

/** One way to read the positions of a file. */
export interface PositionReading {
  /** null: longitude and latitude. */
  crs: CrsDefinition | null;
  /** Metres in one unit of the file's positions. */
  metresPerUnit: number;
  /** The first of the two as read is the northing, not the easting. */
  swapped: boolean;
}

/** x is what was read as easting or longitude, y the other, both in the file's own units. */
export interface Positioner {
  /** Metres in the project's grid. */
  toGrid(x: number, y: number): readonly [east: number, north: number];
  toLonLat(x: number, y: number): readonly [lon: number, lat: number];
}

export function makePositioner(reading: PositionReading, project: CrsDefinition): Positioner {
  const { crs, metresPerUnit, swapped } = reading;
  const target = makeProjection(project);
  const ordered = (x: number, y: number): [number, number] => (swapped ? [y, x] : [x, y]);
  if (crs === null) {
    return {
      toGrid: (x, y) => target.fromLonLat(...ordered(x, y)),
      toLonLat: ordered,
    };
  }
  const source = crs.code === project.code ? target : makeProjection(crs);
  const inMetres = (x: number, y: number): [number, number] => {
    const [east, north] = ordered(x, y);
    return [east * metresPerUnit, north * metresPerUnit];
  };
  const toLonLat = (x: number, y: number) => source.toLonLat(...inMetres(x, y));
  return {
    toGrid: crs.code === project.code ? inMetres : (x, y) => target.fromLonLat(...toLonLat(x, y)),
    toLonLat,
  };
}

type Understood = Pick<ImportPreview, 'crs' | 'units'> & {
  questions: readonly { code: string; likely: string | null; answer?: string | null }[];
};

/** The reading that an understanding is made with. Where nothing says the system, the project's stands in for it. */
export function readingOf(
  understood: Understood,
  axes: string | undefined,
  project: CrsDefinition,
): PositionReading {
  const { unit } = understood.units.horizontal;
  const axisOrder = understood.questions.find(({ code }) => code === 'axisOrder');
  const swapped = (axes ?? axisOrder?.answer ?? axisOrder?.likely ?? 'asRead') === 'swapped';
  if (unit === 'degree') return { crs: null, metresPerUnit: 1, swapped };
  const code = Number(understood.crs?.code?.replace('EPSG:', ''));
  const crs = (Number.isFinite(code) && code > 0 ? crsLookup.find(code) : null) ?? project;
  const metresPerUnit = unit === null ? crs.metresPerUnit : metresPer[unit as keyof typeof metresPer];
  return { crs, metresPerUnit, swapped };
}
