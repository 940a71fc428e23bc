import type { ProjectionParameters } from './wkt.ts';

/** Letters and digits in small, to compare names across the flavours of well-known text. */
export function plain(name: string): string {
  return name.toLowerCase().replace(/[^a-z0-9]/g, '');
}

/** Projection methods by the names that OGC, ESRI and ISO 19162 (EPSG) give them, plain. */
const methodNames: Readonly<Record<string, string>> = {
  transversemercator: 'tmerc',
  gausskruger: 'tmerc',
  transversemercatorcomplex: 'tmerc',
  transversemercatorsouthorientated: 'tmercSouth',
  lambertconformalconic: 'lcc',
  lambertconformalconic1sp: 'lcc',
  lambertconformalconic2sp: 'lcc',
  lambertconicconformal1sp: 'lcc',
  lambertconicconformal2sp: 'lcc',
  doublestereographic: 'sterea',
  obliquestereographic: 'sterea',
  stereographicnorthpole: 'stere',
  stereographicsouthpole: 'stere',
  polarstereographic: 'stere',
  polarstereographicvarianta: 'stere',
  polarstereographicvariantb: 'stere',
  hotineobliquemercator: 'omercA',
  hotineobliquemercatorvarianta: 'omercA',
  hotineobliquemercatorazimuthnaturalorigin: 'omercA',
  rectifiedskeworthomorphicnaturalorigin: 'omercA',
  hotineobliquemercatorvariantb: 'omercB',
  hotineobliquemercatorazimuthcenter: 'omercB',
  obliquemercator: 'omercB',
  rectifiedskeworthomorphiccenter: 'omercB',
  swissobliquecylindrical: 'omercB',
  swissobliquemercator: 'omercB',
  albers: 'aea',
  albersequalarea: 'aea',
  albersconicequalarea: 'aea',
  cassini: 'cass',
  cassinisoldner: 'cass',
  lambertazimuthalequalarea: 'laea',
  polyconic: 'poly',
  americanpolyconic: 'poly',
  newzealandmapgrid: 'nzmg',
  krovak: 'krovak',
  krovaknorthorientated: 'krovak',
  mercator: 'merc',
  mercator1sp: 'merc',
  mercator2sp: 'merc',
  mercatorvarianta: 'merc',
  mercatorvariantb: 'merc',
  mercatorauxiliarysphere: 'webMerc',
  popularvisualisationpseudomercator: 'webMerc',
};

const parameterNames: Readonly<Record<string, keyof ProjectionParameters>> = {
  latitudeoforigin: 'latitude',
  latitudeofcenter: 'latitude',
  latitudeofnaturalorigin: 'latitude',
  latitudeoffalseorigin: 'latitude',
  latitudeofprojectioncentre: 'latitude',
  centralmeridian: 'longitude',
  longitudeofcenter: 'longitude',
  longitudeoforigin: 'longitude',
  longitudeofnaturalorigin: 'longitude',
  longitudeoffalseorigin: 'longitude',
  longitudeofprojectioncentre: 'longitude',
  standardparallel1: 'parallel1',
  latitudeof1ststandardparallel: 'parallel1',
  latitudeofstandardparallel: 'parallel1',
  standardparallel2: 'parallel2',
  latitudeof2ndstandardparallel: 'parallel2',
  scalefactor: 'scale',
  scalefactoratnaturalorigin: 'scale',
  scalefactoroninitialline: 'scale',
  scalefactoratprojectioncentre: 'scale',
  scalefactoronpseudostandardparallel: 'scale',
  azimuth: 'azimuth',
  azimuthofinitialline: 'azimuth',
  azimuthatprojectioncentre: 'azimuth',
  colatitudeofconeaxis: 'azimuth',
  rectifiedgridangle: 'gridAngle',
  anglefromrectifiedtoskewgrid: 'gridAngle',
  xyplanerotation: 'gridAngle',
  falseeasting: 'falseEasting',
  eastingatfalseorigin: 'falseEasting',
  eastingatprojectioncentre: 'falseEasting',
  falsenorthing: 'falseNorthing',
  northingatfalseorigin: 'falseNorthing',
  northingatprojectioncentre: 'falseNorthing',
};

export function methodOf(name: string): string {
  const key = plain(name);
  return Object.hasOwn(methodNames, key) ? methodNames[key] : key;
}

export function parameterOf(name: string): keyof ProjectionParameters | null {
  const key = plain(name);
  return Object.hasOwn(parameterNames, key) ? parameterNames[key] : null;
}

/** Parameters in one form, whichever way a flavour writes the same projection. */
export function canonical(
  method: string,
  given: Partial<ProjectionParameters>,
): { method: string; parameters: ProjectionParameters } {
  const parameters: ProjectionParameters = {
    latitude: 0,
    longitude: 0,
    parallel1: 0,
    parallel2: 0,
    scale: 1,
    azimuth: 0,
    gridAngle: 0,
    falseEasting: 0,
    falseNorthing: 0,
    ...given,
  };
  const { parallel1, parallel2 } = parameters;
  if (method === 'lcc' && given.parallel2 === undefined) {
    // With one parallel it is the latitude of origin, named or not.
    if (given.latitude === undefined) parameters.latitude = parallel1;
    parameters.parallel1 = 0;
    return { method: 'lcc1', parameters };
  }
  if (method === 'lcc' || method === 'aea') {
    parameters.parallel1 = Math.max(parallel1, parallel2);
    parameters.parallel2 = Math.min(parallel1, parallel2);
  }
  if (method === 'stere' && given.parallel1 !== undefined) {
    parameters.latitude = parallel1;
    parameters.parallel1 = 0;
  }
  if (method === 'omercB' && given.azimuth === undefined) parameters.azimuth = 90;
  if (method.startsWith('omerc') && given.gridAngle === undefined) parameters.gridAngle = parameters.azimuth;
  if (method === 'krovak') parameters.gridAngle = 0;
  if (method === 'stereographic' && Math.abs(parameters.latitude) === 90)
    return { method: 'stere', parameters };
  return { method, parameters };
}
