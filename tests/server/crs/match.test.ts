import { describe, expect, it } from 'vitest';
import { matchWkt } from '#core/crs/matchWkt.ts';
import { matchCrs } from '../../../server/crs/match.ts';
import { crsRegister } from '../../../server/crs/register.ts';
import { searchCrs } from '../../../server/crs/search.ts';
import { hasRealFiles, realSource } from '../../helpers/gisFiles.ts';

interface StatePlane {
  name: string;
  datum: string;
  parameters: Record<string, number>;
  unit: string;
}

/** As desktop systems write it beside a shapefile: their own names, no codes. */
function prj({ name, datum, parameters, unit }: StatePlane, projection = 'Lambert_Conformal_Conic'): string {
  const list = Object.entries(parameters).map(([key, value]) => `PARAMETER["${key}",${value}]`);
  return `PROJCS["${name}",GEOGCS["GCS_${datum}",DATUM["D_${datum}",SPHEROID["GRS_1980",6378137.0,298.257222101]],PRIMEM["Greenwich",0.0],UNIT["Degree",0.0174532925199433]],PROJECTION["${projection}"],${list.join(',')},${unit}]`;
}

const metre = 'UNIT["Meter",1.0]';
const foot = 'UNIT["Foot",0.3048]';
const surveyFoot = 'UNIT["Foot_US",0.3048006096012192]';

const utahNorth = (falseEasting: number, falseNorthing: number) => ({
  False_Easting: falseEasting,
  False_Northing: falseNorthing,
  Central_Meridian: -111.5,
  Standard_Parallel_1: 40.71666666666667,
  Standard_Parallel_2: 41.78333333333333,
  Latitude_Of_Origin: 40.33333333333334,
});
const kentucky = (falseEasting: number, falseNorthing: number) => ({
  False_Easting: falseEasting,
  False_Northing: falseNorthing,
  Central_Meridian: -85.75,
  Standard_Parallel_1: 37.08333333333334,
  Standard_Parallel_2: 38.66666666666666,
  Latitude_Of_Origin: 36.33333333333334,
});

describe('matching a definition with the EPSG register (codes and parameters as EPSG publishes them)', () => {
  it.each<[number, StatePlane]>([
    [
      2921,
      {
        name: 'NAD_1983_HARN_StatePlane_Utah_North_FIPS_4301_Feet_Intl',
        datum: 'North_American_1983_HARN',
        parameters: utahNorth(1640419.947506562, 3280839.895013123),
        unit: foot,
      },
    ],
    [
      3568,
      {
        name: 'NAD_1983_HARN_StatePlane_Utah_North_FIPS_4301_Feet',
        datum: 'North_American_1983_HARN',
        parameters: utahNorth(1640416.666666667, 3280833.333333333),
        unit: surveyFoot,
      },
    ],
    [
      2280,
      {
        name: 'NAD_1983_StatePlane_Utah_North_FIPS_4301_Feet_Intl',
        datum: 'North_American_1983',
        parameters: utahNorth(1640419.947506562, 3280839.895013123),
        unit: foot,
      },
    ],
    [
      3560,
      {
        name: 'NAD_1983_StatePlane_Utah_North_FIPS_4301_Feet',
        datum: 'North_American_1983',
        parameters: utahNorth(1640416.666666667, 3280833.333333333),
        unit: surveyFoot,
      },
    ],
    [
      3547,
      {
        name: 'NAD_1983_NSRS2007_StatePlane_Kentucky_FIPS_1600_Ft_US',
        datum: 'NAD_1983_NSRS2007',
        parameters: kentucky(4921250, 3280833.333333333),
        unit: surveyFoot,
      },
    ],
    [
      3546,
      {
        name: 'NAD_1983_NSRS2007_StatePlane_Kentucky_FIPS_1600',
        datum: 'NAD_1983_NSRS2007',
        parameters: kentucky(1500000, 1000000),
        unit: metre,
      },
    ],
    [
      6473,
      {
        name: 'NAD_1983_2011_StatePlane_Kentucky_FIPS_1600_Ft_US',
        datum: 'NAD_1983_2011',
        parameters: kentucky(4921250, 3280833.333333333),
        unit: surveyFoot,
      },
    ],
  ])('finds EPSG:%i', (code, definition) => {
    expect(matchCrs(prj(definition))).toMatchObject({ epsg: code, sure: true, reason: '' });
  });

  it('is not sure of a datum that it does not know, and offers what fits', () => {
    const match = matchCrs(
      prj({
        name: 'x',
        datum: 'Somewhere',
        parameters: kentucky(4921250, 3280833.333333333),
        unit: surveyFoot,
      }),
    );
    expect(match.sure).toBe(false);
    expect(match.candidates).toEqual(expect.arrayContaining([3089, 3547, 6473]));
    expect(match.reason).toContain('Somewhere');
  });

  it('is not sure where a definition carries a code that it does not describe', () => {
    const utah = prj({
      name: 'x',
      datum: 'North_American_1983',
      parameters: utahNorth(1640416.666666667, 3280833.333333333),
      unit: surveyFoot,
    });
    const match = matchCrs(`${utah.slice(0, -1)},AUTHORITY["EPSG","2280"]]`);
    expect(match).toMatchObject({ epsg: 3560, sure: false });
    expect(match.reason).toContain('2280');
  });

  it('has no answer for a local grid', () => {
    const local = prj({
      name: 'site',
      datum: 'North_American_1983',
      parameters: { ...kentucky(0, 0), Central_Meridian: -85.123 },
      unit: metre,
    });
    expect(matchCrs(local)).toMatchObject({ epsg: null, sure: false, candidates: [] });
    expect(matchCrs('the usual')).toMatchObject({ epsg: null, sure: false });
    expect(matchCrs('EPSG:32001')).toMatchObject({ epsg: 32001, sure: true });
    expect(matchCrs('EPSG:9999')).toMatchObject({ epsg: null, sure: false });
  });

  it('knows longitude and latitude', () => {
    const text =
      'GEOGCS["GCS_WGS_1984",DATUM["D_WGS_1984",SPHEROID["WGS_1984",6378137.0,298.257223563]],PRIMEM["Greenwich",0.0],UNIT["Degree",0.0174532925199433]]';
    expect(matchCrs(text)).toMatchObject({ epsg: 4326, sure: true });
  });

  it('finds every system of the register again by its own description', () => {
    const { candidates, entries } = crsRegister();
    expect(entries.length).toBeGreaterThan(5000);
    const projected = candidates.filter(({ description }) => description.kind === 'projected');
    const missed = projected
      .filter((_, i) => i % 20 === 0)
      .filter(({ code, description }) => {
        const { epsg, sure } = matchWkt({ ...description, epsg: null }, candidates);
        return epsg !== code || !sure;
      });
    expect(projected.length).toBeGreaterThan(4500);
    expect(missed).toEqual([]);
  });
});

describe.skipIf(!hasRealFiles)('real .prj files without codes', () => {
  it.each([
    ['rotterdam_manholes', 28992],
    ['gts_junctions', 3879],
  ])('%s is EPSG:%i', async (stem, code) => {
    const source = realSource(`registers/${stem}.prj`);
    const text = new TextDecoder().decode(await source.bytes(0, source.size));
    expect(matchCrs(text)).toMatchObject({ epsg: code, sure: true });
  });
});

describe('searching the register', () => {
  const found = (query: string) => searchCrs(query).map(({ code }) => code);

  it('finds by words in any order and case, with feet of both kinds told apart', () => {
    expect(found('utah north')).toEqual(expect.arrayContaining([2280, 3560, 2921, 3568]));
    expect(found('FTUS north UTAH')).toContain(3560);
    expect(found('FTUS north UTAH')).not.toContain(2280);
    expect(searchCrs('utah north').every(({ name, unitName }) => name !== '' && unitName !== '')).toBe(true);
  });

  it('finds by code, by area, and without accents', () => {
    expect(found('2264')[0]).toBe(2264);
    expect(found('EPSG:28992')).toEqual([28992]);
    expect(found('rd new')).toEqual([28992]);
    expect(found('netherlands amersfoort')).toContain(28992);
    expect(found('')).toEqual([]);
    expect(found('no such place')).toEqual([]);
  });
});
