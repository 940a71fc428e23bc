import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { shapefileReader } from '#core/intake/shapefile.ts';
import type { ByteSource, OpenedFile } from '#core/intake/types.ts';
import { memorySource } from '#core/intake/zip.ts';
import {
  type DbfSpec,
  dbfBytes,
  featuresOf,
  hasRealFiles,
  realSource,
  shape,
  shpBytes,
  textSource,
} from '../../helpers/gisFiles.ts';

async function open(...files: ByteSource[]): Promise<OpenedFile> {
  const opened = await shapefileReader.open(files);
  if ('code' in opened) throw new Error(opened.message);
  return opened;
}

const codes = ({ problems }: OpenedFile) => problems.map(({ code }) => code);
const idField = { name: 'ID', type: 'C', length: 8 };

function coverFiles(
  records: readonly Uint8Array[],
  table: DbfSpec,
  type = 1,
): { shp: ByteSource; shx: ByteSource; dbf: ByteSource } {
  const { shp, shx } = shpBytes(type, records);
  return {
    shp: memorySource('covers.shp', shp),
    shx: memorySource('covers.shx', shx),
    dbf: memorySource('covers.dbf', dbfBytes(table)),
  };
}

const ids = (...names: string[]): DbfSpec => ({ fields: [idField], rows: names.map((name) => [name]) });

describe('the shapefile reader', () => {
  it('reads blanks and overflow marks as missing and 0.00 as 0', async () => {
    const rim = { name: 'RIM', type: 'N', length: 10, decimals: 2 };
    const dbf = dbfBytes({
      fields: [rim],
      rows: [['          '], ['**********'], ['      0.00'], ['    186.35']],
    });
    const { layers } = await open(memorySource('covers.dbf', dbf));
    expect((await featuresOf(layers[0])).map(({ values }) => values[0])).toEqual([null, null, 0, 186.35]);
  });

  it('keeps ids as they are written: 0012, 12, 3-12 and 100E10 are four texts', async () => {
    const names = ['0012', '12', '3-12', '100E10'];
    const { dbf } = coverFiles([], ids(...names));
    const { layers } = await open(dbf);
    expect((await featuresOf(layers[0])).map(({ values }) => values[0])).toEqual(names);
  });

  it('keeps every digit of a whole number past 2^53', async () => {
    const dbf = dbfBytes({
      fields: [{ name: 'KEY', type: 'N', length: 18 }],
      rows: [['90071992547409931'], ['12']],
    });
    const { layers } = await open(memorySource('covers.dbf', dbf));
    expect((await featuresOf(layers[0])).map(({ values }) => values[0])).toEqual(['90071992547409931', 12]);
    expect(layers[0].columns[0].type).toBe('mixed');
  });

  it('reads dates, logical values and floating numbers', async () => {
    const dbf = dbfBytes({
      fields: [
        { name: 'SET', type: 'D', length: 8 },
        { name: 'OK', type: 'L', length: 1 },
        { name: 'Z', type: 'F', length: 12 },
      ],
      rows: [
        ['20240229', 'T', '1.25e+002'],
        ['        ', '?', '7,5'],
        ['00000000', 'n', 'abc'],
      ],
    });
    const opened = await open(memorySource('covers.dbf', dbf));
    const values = (await featuresOf(opened.layers[0])).map((feature) => feature.values);
    expect(values).toEqual([
      ['2024-02-29', true, 125],
      [null, null, 7.5],
      [null, false, null],
    ]);
    expect(opened.problems).toMatchObject([
      { code: 'noShapes' },
      { code: 'notANumber', row: 3, column: 'Z', value: 'abc' },
    ]);
  });

  it('assumes no coordinate reference system where there is no .prj', async () => {
    const { shp, shx, dbf } = coverFiles([shape.point(83158.733, 431225.381)], ids('MH-1'));
    const opened = await open(shp, shx, dbf);
    expect(opened.crs).toBeNull();
    expect(opened.units).toEqual({ horizontal: null, vertical: null });
    const [{ geometry }] = await featuresOf(opened.layers[0]);
    expect(geometry).toEqual({ type: 'point', position: [83158.733, 431225.381, null] });
  });

  it('states the .prj as written, with the code and the unit that it carries', async () => {
    const wkt =
      'PROJCS["local",GEOGCS["g",DATUM["d",SPHEROID["s",6378137,298.257222101]],PRIMEM["Greenwich",0],UNIT["Degree",0.0174532925199433]],PROJECTION["Transverse_Mercator"],UNIT["Foot_US",0.3048006096012192],AUTHORITY["EPSG","2264"]]';
    const { shp, dbf } = coverFiles([shape.point(1, 2)], ids('MH-1'));
    const opened = await open(shp, dbf, textSource('covers.prj', wkt));
    expect(opened.crs).toEqual({ epsg: 2264, text: wkt, from: '.prj' });
    expect(opened.units.horizontal).toBe('us-ft');
  });

  it('takes COVERS.SHP, Covers.shx and covers.DBF for one layer "covers"', async () => {
    const { shp, shx, dbf } = coverFiles([shape.point(1, 2)], ids('MH-1'));
    const opened = await open(
      { ...shp, name: 'COVERS.SHP' },
      { ...shx, name: 'Covers.shx' },
      { ...dbf, name: 'covers.DBF' },
    );
    expect(opened.layers.map(({ name }) => name)).toEqual(['covers']);
    expect(await featuresOf(opened.layers[0])).toEqual([
      { row: 1, geometry: { type: 'point', position: [1, 2, null] }, values: ['MH-1'] },
    ]);
  });

  it('reads a .shp alone and says that it has no values', async () => {
    const opened = await open(coverFiles([shape.pointZ(1, 2, 3.5)], ids(), 11).shp);
    expect(codes(opened)).toEqual(['noTable']);
    expect(await featuresOf(opened.layers[0])).toEqual([
      { row: 1, geometry: { type: 'point', position: [1, 2, 3.5] }, values: [] },
    ]);
  });

  it('keeps null shapes as records without a place', async () => {
    const { shp, shx, dbf } = coverFiles([shape.none(), shape.point(1, 2)], ids('MH-7', 'MH-8'));
    const features = await featuresOf((await open(shp, shx, dbf)).layers[0]);
    expect(features.map(({ geometry, values }) => [values[0], geometry?.type ?? null])).toEqual([
      ['MH-7', null],
      ['MH-8', 'point'],
    ]);
  });

  it('leaves deleted records out, and their shapes with them, and says so', async () => {
    const table = { ...ids('MH-1', 'MH-2', 'MH-3'), deleted: [1] };
    const { shp, shx, dbf } = coverFiles([shape.point(1, 1), shape.point(2, 2), shape.point(3, 3)], table);
    const opened = await open(shp, shx, dbf);
    const features = await featuresOf(opened.layers[0]);
    expect(features.map(({ row, values }) => [row, values[0]])).toEqual([
      [1, 'MH-1'],
      [3, 'MH-3'],
    ]);
    await featuresOf(opened.layers[0]);
    expect(codes(opened)).toEqual(['deletedRecords']);
  });

  it('says when there are not as many shapes as records', async () => {
    const { shp, shx, dbf } = coverFiles([shape.point(1, 1)], ids('MH-1', 'MH-2'));
    const opened = await open(shp, shx, dbf);
    expect((await featuresOf(opened.layers[0])).map(({ geometry }) => geometry !== null)).toEqual([
      true,
      false,
    ]);
    expect(codes(opened)).toEqual(['countsDisagree']);
  });

  it('puts holes into the outline they lie in, and takes several outlines apart', async () => {
    const square = (x: number, size: number, clockwise: boolean): [number, number][] => {
      const ring: [number, number][] = [
        [x, x],
        [x, x + size],
        [x + size, x + size],
        [x + size, x],
        [x, x],
      ];
      return clockwise ? ring : ring.reverse();
    };
    const polygon = shape.parts(5, [
      square(0, 10, true),
      square(100, 10, true),
      square(102, 2, false),
      square(2, 2, false),
    ]);
    const { shp, shx, dbf } = coverFiles([polygon], ids('zone'), 5);
    const opened = await open(shp, shx, dbf);
    const features = await featuresOf(opened.layers[0]);
    const corners = features.map(({ geometry }) =>
      geometry?.type === 'polygon' ? geometry.rings.map((ring) => Math.min(...ring.map(([x]) => x))) : [],
    );
    expect(corners).toEqual([
      [0, 2],
      [100, 102],
    ]);
    expect(codes(opened)).toEqual(['severalParts']);
  });

  it('reads lines with heights', async () => {
    const line = shape.parts(
      13,
      [
        [
          [0, 0],
          [10, 0],
        ],
      ],
      [5.25, 5.5],
    );
    const { shp } = coverFiles([line], ids(), 13);
    expect((await featuresOf((await open(shp)).layers[0]))[0].geometry).toEqual({
      type: 'line',
      positions: [
        [0, 0, 5.25],
        [10, 0, 5.5],
      ],
    });
  });

  it('says that a third ordinate of 0 on every point is no elevation', async () => {
    const { shp } = coverFiles([shape.pointZ(1, 2, 0), shape.pointZ(3, 4, 0)], ids(), 11);
    const opened = await open(shp);
    await featuresOf(opened.layers[0]);
    expect(codes(opened)).toEqual(['noTable', 'flatThirdOrdinate']);
  });

  it.each([
    ['by the .cpg', 'UTF-8', 0, Buffer.from('Überweg', 'utf8')],
    ['by a Windows page in the .cpg', 'ANSI 1252', 0, Buffer.from('Überweg', 'latin1')],
    ['by an ISO page in the .cpg', '88591', 0, Buffer.from('Überweg', 'latin1')],
    ['by the language driver', null, 0x57, Buffer.from('Überweg', 'latin1')],
    ['by the language driver of DOS', null, 0x01, Buffer.from([0x9a, ...Buffer.from('berweg')])],
    ['as UTF-8 where nothing is said', null, 0, Buffer.from('Überweg', 'utf8')],
    ['as Western European where it is not UTF-8', null, 0, Buffer.from('Überweg', 'latin1')],
  ])('reads letters %s', async (_, page, languageDriver, street) => {
    const dbf = dbfBytes({
      fields: [{ name: 'STREET', type: 'C', length: 12 }],
      rows: [[street]],
      languageDriver,
    });
    const files = [
      memorySource('covers.dbf', dbf),
      ...(page === null ? [] : [textSource('covers.cpg', page)]),
    ];
    expect((await featuresOf((await open(...files)).layers[0]))[0].values).toEqual(['Überweg']);
  });

  it('follows the index over a gap and goes on without it where it is wrong', async () => {
    const { shp, shx } = shpBytes(1, [shape.point(1, 1), shape.point(2, 2)]);
    const gap = Buffer.concat([shp.subarray(0, 128), Buffer.alloc(6, 0xff), shp.subarray(128)]);
    const index = Buffer.from(shx);
    index.writeInt32BE((128 + 6) / 2, 108);
    const places = async (...files: ByteSource[]) => {
      const opened = await open(...files);
      const features = await featuresOf(opened.layers[0]);
      return [
        features.map(({ geometry }) => (geometry?.type === 'point' ? geometry.position[0] : null)),
        codes(opened),
      ];
    };
    expect(await places(memorySource('a.shp', gap), memorySource('a.shx', index))).toEqual([
      [1, 2],
      ['sizesDisagree', 'noTable'],
    ]);
    index.writeInt32BE(4, 108);
    expect(await places(memorySource('a.shp', shp), memorySource('a.shx', index))).toEqual([
      [1, 2],
      ['noTable', 'indexUnusable'],
    ]);
  });

  it('refuses or cuts short what claims more than it holds, at once', async () => {
    const started = performance.now();
    const opened = await open(memorySource('a.dbf', dbfBytes({ ...ids('MH-1'), claims: 0xffffffff })));
    expect(await featuresOf(opened.layers[0])).toHaveLength(1);
    expect(codes(opened)).toContain('truncated');
    const { shp } = shpBytes(1, [shape.point(1, 1)]);
    const long = Buffer.from(shp);
    long.writeInt32BE(0x7fffffff, 104);
    const cut = await open(memorySource('a.shp', long));
    expect(await featuresOf(cut.layers[0])).toEqual([]);
    expect(codes(cut)).toContain('truncated');
    const points = Buffer.from(shpBytes(8, [shape.multiPoint([[1, 1]])]).shp);
    points.writeUInt32LE(0xffffffff, 108 + 36);
    const claims = await open(memorySource('a.shp', points));
    expect(await featuresOf(claims.layers[0])).toEqual([{ row: 1, geometry: null, values: [] }]);
    expect(codes(claims)).toContain('geometry');
    const fields = Array.from({ length: 1500 }, (_, i) => ({ name: `F${i}`, type: 'C', length: 1 }));
    expect(await shapefileReader.open([memorySource('a.dbf', dbfBytes({ fields, rows: [] }))])).toMatchObject(
      { code: 'columnCount' },
    );
    expect(performance.now() - started).toBeLessThan(1000);
  });

  it('recognises itself', () => {
    const { shp, dbf } = coverFiles([shape.point(1, 1)], ids('MH-1'));
    void shp;
    expect(shapefileReader.recognises('a.shp', shpBytes(1, []).shp)).toBe(1);
    expect(shapefileReader.recognises(dbf.name, dbfBytes(ids('MH-1')))).toBeGreaterThan(0.5);
    expect(shapefileReader.recognises('a.csv', new TextEncoder().encode('id,x'))).toBe(0);
  });

  it('never throws and always ends, whatever bytes come', async () => {
    const table = dbfBytes({
      fields: [idField, { name: 'Z', type: 'N', length: 8 }],
      rows: [
        ['MH-1', '1.5'],
        ['MH-2', ''],
      ],
    });
    const { shp, shx } = shpBytes(5, [
      shape.parts(5, [
        [
          [0, 0],
          [0, 9],
          [9, 9],
          [0, 0],
        ],
      ]),
      shape.multiPoint([
        [1, 2],
        [3, 4],
      ]),
    ]);
    const broken = (bytes: Uint8Array) =>
      fc.oneof(
        fc.uint8Array({ maxLength: 400 }),
        fc.array(fc.tuple(fc.nat(bytes.length - 1), fc.nat(255)), { maxLength: 8 }).map((changes) => {
          const copy = Uint8Array.from(bytes);
          for (const [at, byte] of changes) copy[at] = byte;
          return copy;
        }),
        fc.nat(bytes.length).map((length) => bytes.slice(0, length)),
      );
    await fc.assert(
      fc.asyncProperty(broken(shp), broken(shx), broken(table), fc.string(), async (a, b, c, page) => {
        const files = [
          memorySource('a.shp', a),
          memorySource('a.shx', b),
          memorySource('a.dbf', c),
          textSource('a.cpg', page),
          textSource('a.prj', page),
        ];
        const opened = await shapefileReader.open(files);
        for (const layer of 'code' in opened ? [] : opened.layers)
          expect((await featuresOf(layer)).length).toBeLessThan(1000);
      }),
      { numRuns: 500 },
    );
  });
});

describe.skipIf(!hasRealFiles)('real shapefile registers', () => {
  const parts = (stem: string) =>
    ['shp', 'shx', 'dbf', 'prj'].map((extension) => realSource(`registers/${stem}.${extension}`));

  it('231 manholes of a real city whose Z is no elevation', async () => {
    const opened = await open(...parts('rotterdam_manholes'));
    const features = await featuresOf(opened.layers[0]);
    expect(features).toHaveLength(231);
    const at = (name: string) => opened.layers[0].columns.findIndex((column) => column.name === name);
    const positions = features.map(({ geometry }) =>
      geometry?.type === 'point' ? geometry.position : [Number.NaN, 0, 0],
    );
    expect(positions.filter(([, , z]) => z === -9999)).toHaveLength(203);
    expect(positions.filter(([, , z]) => z === 0)).toHaveLength(24);
    expect(Math.min(...positions.map(([x]) => x!))).toBeCloseTo(82874.610909, 6);
    expect(new Set(features.map(({ values }) => values[at('CODE')])).size).toBe(231);
    expect(features.every(({ values }) => typeof values[at('CODE')] === 'string')).toBe(true);
    const count = (name: string, value: unknown) =>
      features.filter(({ values }) => values[at(name)] === value).length;
    expect([
      count('PUTBREEDTE', 0),
      count('LENGTE_DIA', 0),
      count('AANLEGJAAR', 0),
      count('STRAAT_NAA', null),
    ]).toEqual([218, 218, 209, 211]);
    const levels = features.map(({ values }) => Number(values[at('MAAIVELD')]));
    expect([Math.min(...levels), Math.max(...levels)]).toEqual([0.7, 6.2]);
    expect(codes(opened)).toEqual([]);
  });

  it('13 storm junctions on local coordinates', async () => {
    const opened = await open(...parts('gts_junctions'));
    const features = await featuresOf(opened.layers[0]);
    expect(features).toHaveLength(13);
    expect(opened.units.horizontal).toBe('m');
    const at = (name: string) => opened.layers[0].columns.findIndex((column) => column.name === name);
    for (const { values } of features)
      expect(Number(values[at('inv_elev')]) + Number(values[at('max_depth')])).toBeCloseTo(
        Number(values[at('elevation')]),
        3,
      );
  });
});
