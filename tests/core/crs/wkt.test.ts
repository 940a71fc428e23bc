import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { datumKey } from '#core/crs/datumName.ts';
import { matchWkt } from '#core/crs/matchWkt.ts';
import { epsgOfReference } from '#core/crs/statement.ts';
import { lengthUnitOf, readWkt } from '#core/crs/wkt.ts';
import { parseWkt } from '#core/crs/wktTree.ts';

const nad83 = (unit: string) =>
  `PROJCS["A zone",GEOGCS["GCS_North_American_1983",DATUM["D_North_American_1983",SPHEROID["GRS_1980",6378137.0,298.257222101]],PRIMEM["Greenwich",0.0],UNIT["Degree",0.0174532925199433]],PROJECTION["Lambert_Conformal_Conic"],PARAMETER["False_Easting",2000000],PARAMETER["False_Northing",0],PARAMETER["Central_Meridian",-79],PARAMETER["Standard_Parallel_1",34.33333333333334],PARAMETER["Standard_Parallel_2",36.16666666666666],PARAMETER["Latitude_Of_Origin",33.75],${unit}]`;

describe('well-known text', () => {
  it('is read with square or round brackets, doubled quotes and line breaks', () => {
    expect(parseWkt('A["x ""y""",\n 1.5e2, EAST, B(2)]')).toEqual({
      keyword: 'A',
      values: ['x "y"', 150, 'EAST'],
      children: [{ keyword: 'B', values: [2], children: [] }],
    });
  });

  it.each(['', 'EPSG:2264', 'PROJCS["x"', 'PROJCS["x"]]', 'PROJCS["x"]PROJCS["y"]', '{"type":"x"}'])(
    'is not %s',
    (text) => expect(parseWkt(text)).toBeNull(),
  );

  it('gives the same projection in the three flavours', () => {
    const version2 =
      'PROJCRS["A zone",BASEGEOGCRS["NAD83",DATUM["North American Datum 1983",ELLIPSOID["GRS 1980",6378137,298.257222101,LENGTHUNIT["metre",1]]],PRIMEM["Greenwich",0,ANGLEUNIT["degree",0.0174532925199433]]],CONVERSION["c",METHOD["Lambert Conic Conformal (2SP)",ID["EPSG",9802]],PARAMETER["Latitude of false origin",33.75,ANGLEUNIT["degree",0.0174532925199433]],PARAMETER["Longitude of false origin",-79,ANGLEUNIT["degree",0.0174532925199433]],PARAMETER["Latitude of 1st standard parallel",36.1666666666667,ANGLEUNIT["degree",0.0174532925199433]],PARAMETER["Latitude of 2nd standard parallel",34.3333333333333,ANGLEUNIT["degree",0.0174532925199433]],PARAMETER["Easting at false origin",609601.22,LENGTHUNIT["metre",1]],PARAMETER["Northing at false origin",0,LENGTHUNIT["metre",1]]],CS[Cartesian,2],AXIS["easting (X)",east,ORDER[1],LENGTHUNIT["US survey foot",0.304800609601219]],AXIS["northing (Y)",north,ORDER[2],LENGTHUNIT["US survey foot",0.304800609601219]],ID["EPSG",2264]]';
    const esri = readWkt(nad83('UNIT["Foot_US",0.3048006096012192]'))!;
    const second = readWkt(version2)!;
    expect(second.epsg).toBe(2264);
    expect(second.metresPerUnit).toBe(0.304800609601219);
    expect(second.parameters!.falseEasting).toBeCloseTo(esri.parameters!.falseEasting, 2);
    expect(second.parameters!.parallel1).toBeCloseTo(esri.parameters!.parallel1, 9);
    expect(matchWkt(esri, [{ code: 2264, description: second }])).toEqual({
      epsg: 2264,
      sure: true,
      candidates: [2264],
      reason: '',
    });
  });

  it('never takes the international foot for the US survey foot', () => {
    const inFeet = (unit: string) => readWkt(nad83(unit))!;
    const survey = inFeet('UNIT["Foot_US",0.3048006096012192]');
    const international = inFeet('UNIT["Foot",0.3048]');
    expect(lengthUnitOf(survey.metresPerUnit)).toBe('us-ft');
    expect(lengthUnitOf(international.metresPerUnit)).toBe('ft');
    expect(lengthUnitOf(0.30479)).toBeNull();
    expect(matchWkt(survey, [{ code: 1, description: international }]).epsg).toBeNull();
  });

  it('takes the horizontal part of a compound system and the unit of its heights', () => {
    const compound = readWkt(
      `COMPD_CS["both",${nad83('UNIT["Meter",1]')},VERT_CS["NAVD88 height (ftUS)",VERT_DATUM["NAVD88",2005],UNIT["US survey foot",0.304800609601219]]]`,
    )!;
    expect(compound.name).toBe('A zone');
    expect(lengthUnitOf(compound.metresPerUnit)).toBe('m');
    expect(lengthUnitOf(compound.vertical!.metresPerUnit)).toBe('us-ft');
  });

  it('knows a datum by its names in every flavour, and neighbours apart', () => {
    const same = [
      ['D_North_American_1983', 'North_American_Datum_1983', 'NAD83'],
      ['D_North_American_1983_HARN', 'NAD83_High_Accuracy_Reference_Network', 'NAD83(HARN)'],
      ['D_NAD_1983_2011', 'NAD83_National_Spatial_Reference_System_2011', 'NAD83(2011)'],
      ['D_ETRS_1989', 'European_Terrestrial_Reference_System_1989', 'ETRS89'],
      ['D_WGS_1984', 'World Geodetic System 1984 ensemble', 'WGS 84'],
      ['D_OSGB_1936', 'Ordnance Survey of Great Britain 1936', 'OSGB36'],
    ].map((names) => [...new Set(names.map(datumKey))]);
    expect(same.map((keys) => keys.length)).toEqual([1, 1, 1, 1, 1, 1]);
    expect(new Set(same.flat()).size).toBe(6);
  });

  it('never throws and stays linear, whatever text comes', () => {
    const valid = nad83('UNIT["Foot_US",0.3048006096012192]');
    const changed = fc.tuple(fc.nat(valid.length), fc.nat(valid.length), fc.string({ maxLength: 5 }));
    fc.assert(
      fc.property(
        fc.oneof(
          fc.string(),
          changed.map(([a, b, text]) => valid.slice(0, a) + text + valid.slice(b)),
        ),
        (text) => {
          const read = readWkt(text);
          if (read !== null) expect(read.semiMajorM).not.toBeNaN();
        },
      ),
      { numRuns: 2000 },
    );
    const started = performance.now();
    for (const text of [
      'A['.repeat(49_000),
      '"'.repeat(99_999),
      ' '.repeat(99_999),
      '1'.repeat(99_999),
      'A['.repeat(1e6),
    ])
      expect(readWkt(text)).toBeNull();
    expect(performance.now() - started).toBeLessThan(500);
  });
});

describe('a reference', () => {
  it.each([
    ['EPSG:2264', 2264],
    ['urn:ogc:def:crs:EPSG::28992', 28992],
    ['urn:ogc:def:crs:OGC:1.3:CRS84', 4326],
    ['urn:ogc:def:crs:OGC::CRS84', 4326],
    ['http://www.opengis.net/def/crs/EPSG/0/3547', 3547],
    ['http://www.opengis.net/gml/srs/epsg.xml#3879', 3879],
    ['2264', null],
    ['RD_New', null],
  ])('%s names %s', (text, code) => expect(epsgOfReference(text)).toBe(code));
});
