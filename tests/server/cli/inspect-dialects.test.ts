import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { Understanding } from '#core/intake/understanding.ts';
import { inspectFile } from '../../../server/cli/inspect.ts';
import { dbfBytes, shape, shpBytes, zipBytes } from '../../helpers/gisFiles.ts';

let folder: string;
beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'rimplane-dialects-'));
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

function inspect(name: string, content: string | Uint8Array): Promise<Understanding> {
  const path = join(folder, name);
  writeFileSync(path, content);
  return inspectFile([path]);
}

const meanings = ({ columns }: Understanding) => columns.map(({ meaning }) => meaning);
const codes = (list: readonly { code: string }[]) => list.map(({ code }) => code);

describe('headings in other languages', () => {
  it('Hochwert, Rechtswert and Höhe in Windows-1252, with names that have a blank', async () => {
    const text =
      'Punktnr;Hochwert;Rechtswert;Höhe;Kode\nP 1;5316402,000;500000,500;100,001;Straße\nP 2;5316403,00;500001,50;100,012;FG\n';
    const found = await inspect('a.csv', Buffer.from(text, 'latin1'));
    expect(meanings(found)).toEqual(['point', 'northing', 'easting', 'elevation', 'code']);
    expect(found.sample[0]).toMatchObject({
      point: 'P 1',
      northing: 5316402,
      easting: 500000.5,
      elevation: 100.001,
      code: 'Straße',
    });
  });

  it.each([
    ['E N H', 'E N H\n500000.1 5316402.2 100.3\n500001.1 5316403.2 100.4\n'],
    ['Norte, Este, Cota', 'Punto;Norte;Este;Cota;Descripción\n1;5316402,2;500000,1;100,3;TAPA\n'],
    ['Est, Nord, Quota', 'Punto,Est,Nord,Quota\n1,500000.1,5316402.2,100.3\n2,500000.1,5316402.2,100.3\n'],
  ])('%s', async (_, text) => {
    const found = await inspect('b.txt', text);
    expect(found.kind).toBe('shots');
    expect(found.sample[0]).toMatchObject({ northing: 5316402.2, easting: 500000.1, elevation: 100.3 });
  });

  it('a Dutch register, which of x and y is north still asked', async () => {
    const text =
      'putnummer;X-coordinaat;Y-coordinaat;maaiveldhoogte;putdekselhoogte\n0012;121500.10;487200.20;1.25;1.27\n';
    const found = await inspect('c.csv', text);
    expect(meanings(found)).toEqual(['id', 'easting', 'northing', 'ground_elevation', 'rim_elevation']);
    expect(found.sample[0]).toMatchObject({ id: '0012', northing: 487200.2, rim_elevation: 1.27 });
    expect(codes(found.questions)).toContain('axisOrder');
  });
});

describe('numbers as people write them', () => {
  it.each([
    [
      'apostrophes',
      "Nr;E;N;H\n1;2'600'000.123;1'200'000.456;541.210\n2;2'600'010.1;1'200'005.4;541.3\n",
      2600000.123,
    ],
    [
      'thin blanks',
      'id;nord;ost;hoehe\n1;1\u202f200\u202f000,456;2\u202f600\u202f000,123;541,21\n',
      2600000.123,
    ],
  ])('thousands parted by %s', async (_, text, easting) => {
    const found = await inspect('d.csv', text);
    expect(found.sample[0]).toMatchObject({ easting, northing: 1200000.456, elevation: 541.21 });
  });

  it('sizes as feet and inches, each with the unit it is written with', async () => {
    const text =
      'id,northing,easting,rim_m,frame_height,rim_diameter\nA1,560100.1,1430200.2,74.5,7 1/2",2\'-0"\nA2,560200.1,1430300.2,74.6,190.5 mm,24 in\n';
    const found = await inspect('e.csv', text);
    for (const record of found.sample) {
      const { frame_height: height, rim_diameter: diameter } = record as Record<string, { metres: number }>;
      expect(height.metres).toBeCloseTo(0.1905, 9);
      expect(diameter.metres).toBeCloseTo(0.6096, 9);
    }
    expect(found.problems).toEqual([]);
    expect(codes(found.questions)).not.toContain('columnUnit');
  });

  it('an elevation with a foot of its own is refused: which foot is asked of the file', async () => {
    const found = await inspect(
      'f.csv',
      'id,northing,easting,rim\nA,1000.5,2000.5,745.21 ft\nB,1001.5,2001.5,745.31\n',
    );
    expect(found.problems).toMatchObject([{ code: 'notANumber', row: 2, column: 'rim', value: '745.21 ft' }]);
  });

  it.each([
    ['degrees, minutes and seconds', '48°00\'01.5"N', '9°00\'02.1"W', 48 + 1.5 / 3600, -(9 + 2.1 / 3600)],
    ['letters before', 'S48 00 01.5', 'E 9 0.035', -(48 + 1.5 / 3600), 9 + 0.035 / 60],
    ['letters after', '48.0004N', '9.0005 E', 48.0004, 9.0005],
  ])('latitude and longitude as %s', async (_, lat, lon, north, east) => {
    const quoted = (text: string) => `"${text.replaceAll('"', '""')}"`;
    const found = await inspect('g.csv', `id,lat,lon,rim_m\nA,${quoted(lat)},${quoted(lon)},100.1\n`);
    expect(found.sample[0].lat).toBeCloseTo(north, 9);
    expect(found.sample[0].lon).toBeCloseTo(east, 9);
  });

  it('a coordinate that a spreadsheet rounded is named', async () => {
    const found = await inspect(
      'h.csv',
      'id,northing,easting,rim_m\nA,5.31640E+06,5.0000012E+05,1.001E+02\n',
    );
    expect(found.problems).toMatchObject([
      { code: 'roundedPlace', column: 'northing', value: '5.31640E+06' },
    ]);
  });
});

describe('rows as programs write them', () => {
  it('parted by vertical bars', async () => {
    const found = await inspect(
      'i.txt',
      'PT|N|E|Z|DESC\n1|560100.1|1430200.2|745.21|MH, RIM\n2|5.5|6.5|745.3|FG\n',
    );
    expect(found.sample[0]).toMatchObject({ northing: 560100.1, easting: 1430200.2, code: 'MH, RIM' });
  });

  it('with a quoted line end, line ends of three kinds, and a lone inch mark', async () => {
    const text =
      'id,northing,easting,rim_elevation_ft,notes\r\nM1,560100.1,1430200.2,745.21,"cracked\nlid"\rM2,560110.1,1430210.2,745.31,24" lid\nM3,560120.1,1430220.2,745.41,ok\r\n';
    const found = await inspect('j.csv', text);
    expect(found.sample.map(({ id, condition_note }) => [id, condition_note])).toEqual([
      ['M1', 'cracked\nlid'],
      ['M2', '24" lid'],
      ['M3', 'ok'],
    ]);
  });

  it('with a row of units under the headings', async () => {
    const found = await inspect(
      'k.csv',
      'id,northing,easting,rim_elevation,frame_height\n,ft,ft,ft,(in)\nA,560100.1,1430200.2,745.21,8\n',
    );
    expect(found.columns.map(({ unit }) => unit)).toEqual([null, 'ft', 'ft', 'ft', 'in']);
    expect(found.sample).toMatchObject([{ id: 'A', row: 3, frame_height: 8 }]);
    expect(codes(found.questions)).toContain('whichFoot');
  });

  it('with the empty columns of a spreadsheet after the code, and the end of file of DOS', async () => {
    const found = await inspect(
      'l.csv',
      '1,560100.1,1430200.2,745.21,MH, RIM,,,\r\n2,560110.1,1430210.2,745.31,FG,,,\r\n\x1a',
    );
    expect(found.sample.map(({ code }) => code)).toEqual(['MH, RIM', 'FG']);
    expect(codes(found.problems)).not.toContain('fieldCount');
  });

  it('with a blank in a name where blanks part the fields: refused, never shifted', async () => {
    const found = await inspect(
      'm.txt',
      ' 101  560100.123  1430200.456  745.210  CL\n MH 7  560120.123  1430220.456  745.410  MH\n 104  560130.123  1430230.456  745.510  EP left\n',
    );
    expect(found.sample.map(({ point }) => point)).toEqual(['101', '104']);
    expect(found.problems[0]).toMatchObject({ code: 'nameWithBlank', row: 2, value: 'MH' });
  });

  it('with headings again in the middle: the row is named and nothing else is lost', async () => {
    const found = await inspect(
      'n.csv',
      'point,northing,easting,elevation,code\n1,100.5,200.5,5.00,CL\npoint,northing,easting,elevation,code\n2,102.5,202.5,5.20,CL\n',
    );
    expect(found.count).toBe(2);
    expect(found.problems[0]).toMatchObject({ code: 'notANumber', row: 3 });
  });
});

describe('a table that states a code page', () => {
  const zip = (driver: number, text: Uint8Array, cpg?: string) => {
    const { shp, shx } = shpBytes(1, [shape.point(83158.733, 431225.381)]);
    const fields = [
      { name: 'ID', type: 'C', length: 6 },
      { name: 'STREET', type: 'C', length: 20 },
    ];
    const dbf = dbfBytes({ fields, rows: [['S1', text]], languageDriver: driver });
    const entries = [
      { path: 'S.shp', bytes: shp },
      { path: 'S.shx', bytes: shx },
      { path: 'S.dbf', bytes: dbf },
    ];
    return zipBytes(cpg ? [...entries, { path: 'S.cpg', bytes: new TextEncoder().encode(cpg) }] : entries);
  };

  it('and has text in UTF-8 all the same is read as UTF-8, and says so', async () => {
    const found = await inspect('o.zip', zip(0x57, new TextEncoder().encode('Mühlstraße')));
    expect(found.sample[0]).toMatchObject({ street: 'Mühlstraße' });
    expect(found.problems).toMatchObject([{ code: 'codePage', row: null }]);
  });

  it('is read in it where its text fits', async () => {
    // Code page 850: 0x81 is ü, 0xe1 is ß (Unicode Consortium, CP850.TXT).
    const bytes = Uint8Array.from([0x4d, 0x81, 0x68, 0x6c, 0x73, 0x74, 0x72, 0x61, 0xe1, 0x65]);
    const found = await inspect('p.zip', zip(0, bytes, 'OEM 850'));
    expect(found.sample[0]).toMatchObject({ street: 'Mühlstraße' });
    expect(found.problems).toEqual([]);
  });
});

describe('what a file shows of itself', () => {
  it('as-builts that equal the plan beside them to the millimetre', async () => {
    const rows = (built: (i: number) => number) =>
      Array.from(
        { length: 6 },
        (_, i) => `C${i},${1000 + i},${2000 + i},${10 + i / 10},${built(i).toFixed(3)}`,
      );
    const heading = 'id,northing,easting,design_elevation_m,as_built_elevation_m\n';
    const copied = await inspect('q.csv', heading + rows((i) => 10 + i / 10).join('\n'));
    expect(copied.problems).toMatchObject([{ code: 'copiedAsBuilts', column: 'as_built_elevation_m' }]);
    const measured = await inspect('r.csv', heading + rows((i) => 10 + i / 10 + 0.002 * (i + 1)).join('\n'));
    expect(measured.problems).toEqual([]);
  });

  it('rims of its structures and shots on them that are off by one amount', async () => {
    const shots = Array.from({ length: 5 }, (_, i) => [100 + 30 * i, 200, 10.4 + i / 10]);
    const points = shots.map(([n, e, z], i) => `<CgPoint name="p${i}" code="RIM">${n}.1 ${e} ${z}</CgPoint>`);
    const structs = shots.map(
      ([n, e], i) =>
        `<Struct name="M${i}" elevRim="${10 + i / 10}"><CircStruct diameter="1.2"/><Center>${n} ${e}</Center></Struct>`,
    );
    const found = await inspect(
      's.xml',
      `<?xml version="1.0"?><LandXML xmlns="http://www.landxml.org/schema/LandXML-1.2" version="1.2">
<Units><Metric linearUnit="meter" areaUnit="squareMeter" volumeUnit="cubicMeter"/></Units>
<CgPoints>${points.join('')}</CgPoints>
<PipeNetworks><PipeNetwork name="n" pipeNetType="sanitary"><Structs>${structs.join('')}</Structs></PipeNetwork></PipeNetworks></LandXML>`,
    );
    expect(found.problems).toContainEqual(
      expect.objectContaining({
        code: 'rimOffset',
        message: expect.stringMatching(/^5 surveyed rims .* 0\.4 m/),
      }),
    );
  });
});
