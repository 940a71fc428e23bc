import { canonical } from './methods.ts';
import type { CrsDescription, ProjectionParameters } from './wkt.ts';

/** Semi-major axis in metres and inverse flattening, as the PROJ list of ellipsoids has them. */
const ellipsoids: Readonly<Record<string, readonly [number, number]>> = {
  bessel: [6377397.155, 299.1528128],
  clrk66: [6378206.4, 294.9786982],
  clrk80ign: [6378249.2, 293.4660213],
  GRS80: [6378137, 298.257222101],
  intl: [6378388, 297],
  WGS84: [6378137, 298.257223563],
};
/** Degrees east of Greenwich, as the PROJ list of prime meridians has them. */
const meridians: Readonly<Record<string, number>> = {
  greenwich: 0,
  paris: 2.337229166667,
  ferro: -17.666666666667,
  jakarta: 106.807719444444,
  lisbon: -9.131906111111,
  bern: 7.439583333333,
  oslo: 10.722916666667,
};
const units: Readonly<Record<string, number>> = { m: 1, ft: 0.3048, 'us-ft': 1200 / 3937, link: 0.201168 };
const methods: Readonly<Record<string, string>> = { omerc: 'omercA', somerc: 'omercB' };

/** Describes a projected system by its PROJ string and its name (`datum / projection`); null where it cannot. */
export function readProjString(definition: string, name: string): CrsDescription | null {
  const terms = new Map(
    [...definition.matchAll(/\+(\w+)=(\S+)/g)].map(([, key, value]) => [key, value] as const),
  );
  const ellipsoid = pick(ellipsoids, terms.get('ellps'));
  const metresPerUnit = pick(units, terms.get('units') ?? 'm');
  const primeMeridian = pick(meridians, terms.get('pm') ?? 'greenwich');
  const proj = terms.get('proj');
  if (!ellipsoid || !metresPerUnit || primeMeridian === null || !proj || definition.includes('+axis='))
    return null;
  const geographicName = name.split(' / ')[0];
  return {
    kind: 'projected',
    name,
    epsg: null,
    ...canonical(pick(methods, proj) ?? proj, parametersOf(terms)),
    metresPerUnit,
    unitName: terms.get('units') ?? 'metre',
    datum: geographicName.replace(/ \([^)]*\)$/, ''),
    geographicName,
    semiMajorM: ellipsoid[0],
    inverseFlattening: ellipsoid[1],
    primeMeridian,
    vertical: null,
  };
}

function pick<T>(table: Readonly<Record<string, T>>, key: string | undefined): T | null {
  return key !== undefined && Object.hasOwn(table, key) ? table[key] : null;
}

function parametersOf(terms: ReadonlyMap<string, string>): Partial<ProjectionParameters> {
  const parameters: Partial<ProjectionParameters> = {};
  const names: [keyof ProjectionParameters, string[]][] = [
    ['latitude', ['lat_0']],
    ['longitude', ['lon_0', 'lonc']],
    ['parallel1', ['lat_1', 'lat_ts']],
    ['parallel2', ['lat_2']],
    ['scale', ['k', 'k_0']],
    ['azimuth', ['alpha']],
    ['gridAngle', ['gamma']],
    ['falseEasting', ['x_0']],
    ['falseNorthing', ['y_0']],
  ];
  for (const [key, spellings] of names)
    for (const spelling of spellings) {
      const value = Number(terms.get(spelling) ?? Number.NaN);
      if (!Number.isNaN(value)) parameters[key] = value;
    }
  return parameters;
}
