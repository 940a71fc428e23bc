import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it, vi } from 'vitest';
import type { Understanding } from '#core/intake/understanding.ts';
import { inspectFile, main } from '../../../server/cli/inspect.ts';
import { Refusal } from '../../../server/cli/refusal.ts';
import { dbfBytes, shape, shpBytes, zipBytes } from '../../helpers/gisFiles.ts';
import { haveRealFiles, realFile, realFilesTitle } from '../../helpers/realFiles.ts';

let folder: string;
beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'rimplane-inspect-'));
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

function put(name: string, content: string | Uint8Array): string {
  const path = join(folder, name);
  mkdirSync(dirname(path), { recursive: true });
  writeFileSync(path, content);
  return path;
}

const inspect = (name: string, content: string | Uint8Array, ...more: string[]) =>
  inspectFile([put(name, content), ...more]);
const codes = (list: readonly { code: string }[]) => list.map(({ code }) => code);
const column = ({ columns }: Understanding, meaning: string) =>
  columns.find((c) => c.meaning === meaning)?.name;

/** What the command writes and how it ends. */
async function run(...argv: string[]): Promise<{ exit: number; out: string; said: string[] }> {
  const out: string[] = [];
  const said: string[] = [];
  const stdout = vi.spyOn(process.stdout, 'write').mockImplementation((text) => out.push(String(text)) > 0);
  const stderr = vi.spyOn(process.stderr, 'write').mockImplementation((text) => said.push(String(text)) > 0);
  try {
    return { exit: await main(argv), out: out.join(''), said };
  } finally {
    stdout.mockRestore();
    stderr.mockRestore();
  }
}

const covers = () => {
  const { shp, shx } = shpBytes(1, [shape.point(83158.733, 431225.381), shape.point(83160, 431230)]);
  const dbf = dbfBytes({
    fields: [
      { name: 'CODE', type: 'C', length: 6 },
      { name: 'RIM', type: 'N', length: 10, decimals: 2 },
    ],
    rows: [
      ['0012', '      0.00'],
      ['12', '          '],
    ],
  });
  return { shp, shx, dbf };
};

describe('inspect: faults that files come with', () => {
  it('A1 A18 reads a point file with its code as written', async () => {
    const result = await inspect(
      'a18.csv',
      '326,538549.007,1455378.621,677.609,MH, RIM, 24"\n',
      '--crs',
      'EPSG:2264',
    );
    expect(result).toMatchObject({ format: 'delimited', kind: 'shots', count: 1, crs: { epsg: 2264 } });
    expect(result.sample[0]).toMatchObject({
      point: '326',
      northing: 538549.007,
      easting: 1455378.621,
      elevation: 677.609,
      code: 'MH, RIM, 24"',
    });
  });

  it('A3 leaves the invisible face out of the area and the count', async () => {
    const points = ['0 0 10.00', '0 20 10.40', '20 20 10.80', '20 0 10.40', '40 10 30.00'];
    const result = await inspect(
      'a3.xml',
      `<?xml version="1.0"?><LandXML xmlns="http://www.landxml.org/schema/LandXML-1.2" version="1.2"><Units><Metric linearUnit="meter"/></Units>
       <Surfaces><Surface name="FG"><Definition surfType="TIN"><Pnts>${points.map((p, i) => `<P id="${i + 1}">${p}</P>`).join('')}</Pnts>
       <Faces><F>1 2 3</F><F>1 3 4</F><F i="1">4 3 5</F></Faces></Definition></Surface></Surfaces></LandXML>`,
    );
    expect(result).toMatchObject({
      format: 'landxml',
      kind: 'design',
      count: 2,
      sample: [{ area: 400, invisible: 1 }],
    });
    expect(result.units).toEqual({
      horizontal: { unit: 'm', from: 'file' },
      vertical: { unit: 'm', from: 'file' },
    });
  });

  it('A7 asks for the system of a shapefile without .prj; what is given wins', async () => {
    const { shp, shx, dbf } = covers();
    put('a7/covers.shx', shx);
    put('a7/covers.dbf', dbf);
    const result = await inspect('a7/covers.shp', shp);
    expect(result).toMatchObject({
      format: 'shapefile',
      kind: 'structures',
      count: 2,
      crs: null,
      lands: null,
    });
    const choices = result.questions.find(({ code }) => code === 'crs')?.choices.map(({ id }) => id);
    expect(choices).toEqual(['project', 'other']);
    const given = await inspectFile([join(folder, 'a7/covers.shp'), '--crs', 'EPSG:28992']);
    expect(given.crs).toMatchObject({ code: 'EPSG:28992', from: 'given' });
    expect(given.lands?.lon).toBeCloseTo(4.34, 1);
    expect(codes(given.questions)).not.toContain('crs');
  });

  it('A10 an empty numeric field is no 0', async () => {
    const { shp, shx, dbf } = covers();
    put('a10/covers.shx', shx);
    put('a10/covers.dbf', dbf);
    const { sample } = await inspect('a10/covers.shp', shp);
    expect(sample).toMatchObject([
      { id: '0012', rim_elevation: 0 },
      { id: '12', rim_elevation: null },
    ]);
  });

  it('A12 the one long thin triangle counts, with its area', async () => {
    const face = '<F>1 2 3</F>';
    const result = await inspect(
      'a12.xml',
      `<LandXML xmlns="http://www.landxml.org/schema/LandXML-1.2"><Units><Metric linearUnit="meter"/></Units><Surfaces><Surface name="S"><Definition surfType="TIN"><Pnts><P id="1">0 0 1</P><P id="2">0 1000 1</P><P id="3">40 2000 2</P></Pnts><Faces>${face}</Faces></Definition></Surface></Surfaces></LandXML>`,
    );
    expect(result.sample[0]).toMatchObject({ faces: 1, area: 20000 });
    const flat = await inspect('a12.csv', '1,0,0,1,CL\n2,0,5,1,CL\n3,0,10,1,CL\n');
    expect(flat.problems.find(({ code }) => code === 'oneLine')?.message).toContain(
      'these points do not make a surface',
    );
  });

  it('A14 keeps the old crs member of GeoJSON: the point lies in Arkansas', async () => {
    const feature = {
      type: 'Feature',
      properties: { id: '0012' },
      geometry: { type: 'Point', coordinates: [1280000, 200000, 0] },
    };
    const crs = { type: 'name', properties: { name: 'urn:ogc:def:crs:EPSG::3433' } };
    const result = await inspect(
      'a14.geojson',
      JSON.stringify({ type: 'FeatureCollection', crs, features: [feature] }),
    );
    expect(result.crs).toMatchObject({ epsg: 3433, from: 'file' });
    expect(result.lands?.lon).toBeCloseTo(-92.107803, 5);
    expect(result.lands?.lat).toBeCloseTo(34.882759, 5);
    expect(result.bounds).toMatchObject({ minElevation: null });
    expect(codes(result.problems)).toContain('flatThirdOrdinate');
    const without = await inspect(
      'a14b.geojson',
      JSON.stringify({ type: 'FeatureCollection', features: [feature] }),
    );
    expect(codes(without.questions)).toContain('crs');
    expect(without.lands).toBeNull();
  });

  it('A19 finds one layer in a zip with a folder, capitals and a hidden copy', async () => {
    const { shp, shx, dbf } = covers();
    const zip = zipBytes([
      { path: 'job/COVERS.SHP', bytes: shp },
      { path: 'job/Covers.shx', bytes: shx },
      { path: 'job/covers.DBF', bytes: dbf },
      { path: '__MACOSX/job/._COVERS.SHP', bytes: Buffer.from('x') },
    ]);
    const result = await inspect('a19.zip', zip);
    expect(result).toMatchObject({
      format: 'shapefile',
      name: 'covers',
      count: 2,
      parts: [{ name: 'covers' }],
      crs: null,
    });
    expect(codes(result.questions)).toContain('crs');
  });

  it('reads a point file out of a zip and names what else was in it', async () => {
    const zip = zipBytes([
      { path: 'shots.csv', bytes: Buffer.from('1,10,20,5,CL\n2,11,21,5,CL\n') },
      { path: 'more.csv', bytes: Buffer.from('1,10,20,5,CL\n') },
    ]);
    const result = await inspect('two.zip', zip);
    expect(result).toMatchObject({ format: 'delimited', count: 2 });
    expect(result.problems.find(({ code }) => code === 'otherFiles')?.message).toBe(
      'the archive also holds 1 other file, which is not read: more.csv',
    );
  });
});

describe('inspect: the command', () => {
  it('writes JSON and ends with 0 when something was understood, faults and all', async () => {
    const path = put('some.csv', '1,10,20,5,CL\n2,x,20,5,CL\n3,11,22,5,CL\n');
    const { exit, out, said } = await run(path);
    expect(exit).toBe(0);
    expect(said).toEqual([]);
    const result = JSON.parse(out);
    expect(Object.keys(result)).toEqual(
      expect.arrayContaining([
        'format',
        'kind',
        'count',
        'bounds',
        'crs',
        'units',
        'columns',
        'sample',
        'problems',
        'questions',
      ]),
    );
    expect(result.problems[0]).toEqual({
      code: 'notANumber',
      row: 2,
      column: 'northing',
      value: 'x',
      message: 'not a number',
    });
  });

  it('takes longitude and latitude as the system, and holds them against a grid that is wanted', async () => {
    const text = 'point,easting,northing,elevation\n1,-75.2,40.1,300\n';
    const given = await inspect('degrees.csv', text, '--crs', 'EPSG:4326');
    expect(given).toMatchObject({
      crs: { code: 'EPSG:4326', from: 'given' },
      lands: { lon: -75.2, lat: 40.1 },
    });
    const other = await inspect('lonlat.csv', 'id,lon,lat\nC-1,-75.2,40.1\n', '--crs', 'EPSG:2264');
    expect(codes(other.problems)).toEqual(['outsideArea']);
    const right = await inspect('lonlat.csv', 'id,lon,lat\nC-1,-80.2,35.1\n', '--crs', 'EPSG:2264');
    expect(codes(right.problems)).toEqual([]);
  });

  it('refuses a document type declaration in those words', async () => {
    const bomb =
      '<?xml version="1.0"?><!DOCTYPE x [<!ENTITY a "aaaa"><!ENTITY b "&a;&a;">]><LandXML>&b;</LandXML>';
    const { exit, said } = await run(put('bomb.xml', bomb));
    expect(exit).toBe(2);
    expect(said).toHaveLength(1);
    expect(said[0]).toContain('document type declaration (DOCTYPE)');
  });

  it.each([
    ['prose.txt', 'Dear all,\nplease find the survey.\n'],
    ['empty.csv', ''],
    ['bytes.bin', Buffer.from([1, 2, 3, 0, 7, 255, 254, 0, 0, 9])],
    [
      'faults.csv',
      `point,northing,easting,elevation\n${Array.from({ length: 50 }, (_, i) => `1,x${i},2,3`).join('\n')}\n`,
    ],
    ['columns.csv', '1,'.repeat(1_000_000)],
    ['line.csv', '9'.repeat(10_000_000)],
    ['sheet.xlsx', zipBytes([{ path: '[Content_Types].xml', bytes: Buffer.from('<Types/>') }])],
  ])('ends with 2 and at most five lines for %s', async (name, content) => {
    const { exit, out, said } = await run(put(name, content));
    expect({ exit, out }).toEqual({ exit: 2, out: '' });
    expect(said.length).toBeGreaterThan(0);
    expect(said.length).toBeLessThanOrEqual(5);
    for (const line of said) expect(line.length).toBeLessThan(400);
  });

  it.each([
    [[]],
    [['a.csv', 'b.csv']],
    [['nowhere.csv']],
    [['a.csv', '--crs', 'EPSG:1']],
    [['--wrong', 'x']],
  ])('refuses the arguments %j', async (argv) => {
    put('a.csv', '1,10,20,5,CL\n');
    const here = argv.map((word) => (word === 'a.csv' ? join(folder, word) : word));
    await expect(inspectFile(here)).rejects.toBeInstanceOf(Refusal);
  });
});

describe.skipIf(!haveRealFiles)(realFilesTitle('inspect: real files'), () => {
  const real = (path: string, ...more: string[]) => inspectFile([realFile(path), ...more]);

  it('a city register whose third ordinate is no elevation', async () => {
    const result = await real('registers/rotterdam_manholes.shp');
    expect(result).toMatchObject({ kind: 'structures', count: 231, crs: { epsg: 28992, from: 'file' } });
    expect(result.bounds?.minEasting).toBeCloseTo(82874.610909, 5);
    expect(result.bounds?.maxNorthing).toBeCloseTo(431745.060909, 5);
    expect(result.bounds).toMatchObject({ minElevation: 0.7, maxElevation: 6.2 });
    expect([column(result, 'id'), column(result, 'ground_elevation')]).toEqual(['CODE', 'MAAIVELD']);
    expect(result.problems.find(({ code }) => code === 'thirdOrdinate')?.message).toContain(
      '203 are -9999, 24 are 0 and 4',
    );
    const zeros = result.problems
      .filter(({ code }) => code === 'zeroMeansUnknown')
      .map((p) => `${p.column} ${p.message}`);
    expect(zeros.map((text) => text.slice(0, 30))).toEqual([
      'AANLEGJAAR 0 in 209 of 231 row',
      'PUTBREEDTE 0 in 218 of 231 row',
      'LENGTE_DIA 0 in 218 of 231 row',
    ]);
    expect(result.problems.filter(({ code }) => code === 'notReal')).toHaveLength(2);
    expect(codes(result.problems)).not.toContain('outsideArea');
  });

  it('a register in local coordinates under the name of a national grid', async () => {
    const result = await real('registers/gts_junctions.shp');
    expect(result).toMatchObject({ count: 13, crs: { epsg: 3879 } });
    expect(result.bounds).toMatchObject({
      minEasting: expect.closeTo(63.1, 6),
      maxNorthing: expect.closeTo(200.344, 3),
    });
    expect(codes(result.problems)).toContain('outsideArea');
    expect(result.sample[0]).toMatchObject({
      id: 'j1',
      elevation: 26.819,
      invert_elevation: 24.765,
      structure_depth: 2.054,
    });
    const table = await real('registers/gts_table_junctions.csv');
    expect(table).toMatchObject({
      kind: 'structures',
      count: 13,
      crs: null,
      sample: [{ id: 'j1', elevation: 26.819 }, {}, {}, {}, {}],
    });
  });

  it('elevations in metres on a grid in feet', async () => {
    const result = await real('registers/ky4_junctions.geojson');
    expect(result).toMatchObject({
      count: 959,
      crs: { epsg: 3547 },
      units: { horizontal: { unit: 'us-ft' }, vertical: { unit: null } },
    });
    expect(result.bounds).toMatchObject({
      minEasting: 4942452.99,
      maxEasting: 4993232.24,
      minNorthing: 3888731,
      maxNorthing: 3917215,
    });
    expect(result.bounds?.minElevation).toBeCloseTo(144.5699, 4);
    expect(
      result.questions.find(({ code }) => code === 'verticalUnit')?.choices.map(({ id }) => id),
    ).toContain('m');
    const grid = await real('surfaces/ky4_elevation.tif');
    expect(grid).toMatchObject({
      kind: 'grid',
      count: 587 * 402,
      crs: { epsg: 3547 },
      units: { vertical: { unit: null } },
    });
    expect(grid.bounds?.minElevation).toBeCloseTo(117.438, 3);
    expect(grid.bounds?.maxElevation).toBeCloseTo(226.242, 3);
  });

  it('points in degrees whose third ordinate says nothing', async () => {
    const result = await real('registers/vt_cavendish_points.geojson');
    expect(result).toMatchObject({
      count: 12,
      units: { horizontal: { unit: 'degree' } },
      bounds: { minElevation: null },
    });
    expect(result.bounds?.minEasting).toBeCloseTo(-72.647707, 6);
    expect(codes(result.problems)).toContain('flatThirdOrdinate');
  });

  it.each([
    ['landxml/abrman_S1.xml', 24, 17, 3031369.1208],
    ['landxml/abrman_S3.xml', 300, 164, 3031776.1184],
  ])('the surface %s', async (path, faces, points, area) => {
    const result = await real(path);
    expect(result).toMatchObject({
      kind: 'design',
      count: faces,
      crs: null,
      units: { horizontal: { unit: 'us-ft', from: 'file' } },
    });
    expect(result.sample[0]).toMatchObject({ points, faces });
    expect(result.sample[0].area).toBeCloseTo(area, 3);
    expect(result.bounds?.minEasting).toBeCloseTo(834494.113, 3);
    expect(result.bounds?.maxNorthing).toBeCloseTo(1069605.887, 3);
  });

  it('an alignment, which is no surface', async () => {
    const result = await real('landxml/landxml_road_sample.xml');
    expect(result).toMatchObject({ kind: 'lines', count: 1, sample: [{ line: 'Main Road' }] });
    expect(result.sample[0].length).toBeCloseTo(2455.497573, 1);
    expect(codes(result.problems)).toContain('noSurface');
  });

  it('a grid of elevations in local coordinates', async () => {
    const result = await real('surfaces/gts_raster_dem.tif');
    expect(result).toMatchObject({
      kind: 'grid',
      count: 234 * 231,
      bounds: { minEasting: 0, maxNorthing: 231 },
    });
    expect(result.sample[0]).toMatchObject({ columns: 234, rows: 231, noData: 0 });
  });
});
