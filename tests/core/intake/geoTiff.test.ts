import { readFileSync } from 'node:fs';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { inflate, unpackBits, unpackLzw } from '#core/intake/geoTiff/unpack.ts';
import { geoTiffReader } from '#core/intake/geoTiff.ts';
import type { OpenedFile, RawGrid } from '#core/intake/types.ts';
import type { Problem } from '#core/problem.ts';
import { memorySource } from '../../helpers/memorySource.ts';
import { haveRealFiles, realFile, realFilesTitle } from '../../helpers/realFiles.ts';
import { packBits, packLzw, type TiffOptions, tiffFile } from '../../helpers/tiffFile.ts';

const value = (column: number, row: number) => 100 + column + 10 * row;
const small: TiffOptions = { columns: 7, rows: 5, value };

async function open(options: Partial<TiffOptions> = {}): Promise<OpenedFile> {
  const file = await geoTiffReader.open([memorySource(tiffFile({ ...small, ...options }), 'dem.tif')]);
  if ('message' in file) throw new Error(file.message);
  return file;
}
const refusal = async (options: Partial<TiffOptions>) =>
  (await geoTiffReader.open([memorySource(tiffFile({ ...small, ...options }))])) as Problem;
const whole = (grid: RawGrid) => grid.window(0, 0, grid.columns, grid.rows);
const expected = Array.from({ length: 35 }, (_, i) => value(i % 7, Math.floor(i / 7)));

describe('a GeoTIFF grid', () => {
  it('is known by its first bytes', () => {
    const sure = (name: string, ...bytes: number[]) => geoTiffReader.recognises(name, Uint8Array.from(bytes));
    expect(sure('a', 0x49, 0x49, 42, 0)).toBe(0.95);
    expect(sure('a', 0x4d, 0x4d, 0, 43)).toBe(0.95);
    expect(sure('a.TIFF', 1, 2, 3, 4)).toBe(0.3);
    expect(sure('a.png', 0x49, 0x49, 42, 1)).toBe(0);
  });

  it.each([
    ['strips', {}],
    ['strips of two rows', { rowsPerStrip: 2 }],
    ['tiles', { tile: 16 }],
    ['small tiles over the edges', { tile: 4 }],
    ['high byte first', { bigEndian: true, tile: 4 }],
    ['the large format', { bigTiff: true }],
    ['64-bit floats', { cell: 'f64' }],
    ['16-bit integers', { cell: 'i16' }],
    ['32-bit integers', { cell: 'i32' }],
    ['bytes', { cell: 'u8' }],
    ['LZW', { compression: 'lzw' }],
    ['LZW in tiles', { compression: 'lzw', tile: 4 }],
    ['Deflate', { compression: 'deflate', rowsPerStrip: 2 }],
    ['PackBits', { compression: 'packbits', cell: 'i16' }],
    ['a predictor', { compression: 'lzw', cell: 'i16', predictor: 2 }],
    ['three bands', { bands: 3 }],
  ] as [string, Partial<TiffOptions>][])('of %s gives its cells', async (_, options) => {
    const file = await open(options);
    const [grid] = file.grids;
    expect([...(await whole(grid))]).toEqual(expected);
    expect([...(await grid.window(2, 1, 3, 2))]).toEqual([112, 113, 114, 122, 123, 124]);
    expect(file.problems.map((p) => p.code)).toEqual(options.bands ? ['bands'] : []);
  });

  it('of areas lies half a cell from its corner, of points on it (OGC 19-008r4, 7.1)', async () => {
    const [area] = (await open({ keys: { 1025: 1 } })).grids;
    expect(area).toMatchObject({
      name: 'dem',
      columns: 7,
      rows: 5,
      firstX: 1001,
      firstY: 4998.5,
      cellX: 2,
      cellY: 3,
    });
    const [unsaid] = (await open()).grids;
    expect([unsaid.firstX, unsaid.firstY]).toEqual([1001, 4998.5]);
    const [point] = (await open({ keys: { 1025: 2 } })).grids;
    expect([point.firstX, point.firstY]).toEqual([1000, 5000]);
    const tie = { 33922: { type: 'double' as const, values: [2, 1, 0, 1000, 5000, 0] } };
    const [inside] = (await open({ tags: tie, keys: { 1025: 2 } })).grids;
    expect([inside.firstX, inside.firstY]).toEqual([996, 5003]);
  });

  it('placed by a transformation is read, unless that turns it', async () => {
    const matrix = (...m: number[]) => ({
      33550: null,
      33922: null,
      34264: { type: 'double' as const, values: [...m, 0, 0, 0, 0, 0, 0, 0, 1] },
    });
    const [grid] = (await open({ tags: matrix(2, 0, 0, 1000, 0, -3, 0, 5000) })).grids;
    expect(grid).toMatchObject({ firstX: 1001, firstY: 4998.5, cellX: 2, cellY: 3 });
    expect(await refusal({ tags: matrix(2, 0.1, 0, 1000, 0.1, -3, 0, 5000) })).toMatchObject({
      code: 'rotatedGrid',
    });
    expect(await refusal({ tags: matrix(2, 0, 0, 1000, 0, 3, 0, 5000) })).toMatchObject({
      code: 'turnedGrid',
    });
    expect(await refusal({ tags: matrix(0, 0, 0, 1000, 0, 3, 0, 5000) })).toMatchObject({ code: 'noPlace' });
    expect(await refusal({ tags: matrix(Number.NaN, 0, 0, 1000, 0, 3, 0, 5000) })).toMatchObject({
      code: 'noPlace',
    });
    expect(await refusal({ tags: { 33550: null } })).toMatchObject({ code: 'tiePoints' });
    expect(await refusal({ tags: { 33550: null, 33922: null } })).toMatchObject({ code: 'noPlace' });
  });

  it('states its system and its units', async () => {
    const projected = await open({
      keys: { 1024: 1, 3072: 2264, 3076: 9003, 4099: 9001 },
      citation: 'NC grid',
    });
    expect(projected.crs).toEqual({ epsg: 2264, text: 'NC grid', from: 'geokeys' });
    expect(projected.units).toEqual({ horizontal: 'us-ft', vertical: 'm' });
    const geographic = await open({ keys: { 1024: 2, 2048: 4326, 4096: 6360 } });
    expect(geographic.crs).toEqual({ epsg: 4326, text: 'EPSG:4326', from: 'geokeys' });
    expect(geographic.units).toEqual({ horizontal: 'degree', vertical: 'us-ft' });
    expect((await open({ keys: { 3072: 32767 } })).crs).toBeNull();
    expect((await open({ keys: { 3072: 32767 }, citation: 'ours' })).crs).toMatchObject({
      epsg: null,
      text: 'ours',
    });
    expect(await open()).toMatchObject({ crs: null, units: { horizontal: null, vertical: null } });
  });

  it('gives cells of no data as NaN, and applies a stored scale', async () => {
    const tag = (text: string) => ({ 42113: { type: 'ascii' as const, values: text } });
    const low = -3.4028234663852886e38;
    const hole = (c: number, r: number) => (c === 1 && r === 0 ? low : value(c, r));
    const [grid] = (await open({ value: hole, tags: tag('-3.4028234663852886e+38 ') })).grids;
    expect(grid.noData).toBe(low);
    expect([...(await grid.window(0, 0, 3, 1))]).toEqual([100, Number.NaN, 102]);
    // 0.1 stored in 32 bits is not 0.1: the mark is compared as it is stored.
    const [tenth] = (await open({ value: () => 0.1, tags: tag('0.1') })).grids;
    expect([...(await tenth.window(0, 0, 1, 1))]).toEqual([Number.NaN]);
    const [whole16] = (await open({ cell: 'i16', tags: tag('101') })).grids;
    expect([...(await whole16.window(0, 0, 2, 1))]).toEqual([100, Number.NaN]);
    expect((await open({ tags: tag('nan') })).grids[0].noData).toBeNull();
    const metadata = (text: string) => ({ 42112: { type: 'ascii' as const, values: text } });
    const scaled =
      '<GDALMetadata><Item name="SCALE" sample="0" role="scale">0.01</Item><Item name="OFFSET" sample="0" role="offset">5</Item></GDALMetadata>';
    expect([...(await (await open({ tags: metadata(scaled) })).grids[0].window(0, 0, 1, 1))]).toEqual([6]);
    const other = '<GDALMetadata><Item name="SCALE" sample="1" role="scale">0.01</Item></GDALMetadata>';
    expect([...(await (await open({ tags: metadata(other) })).grids[0].window(0, 0, 1, 1))]).toEqual([100]);
  });

  it.each([
    [{ tags: { 262: { type: 'short', values: [2] } } }, 'picture'],
    [{ tags: { 339: { type: 'short', values: [4] } } }, 'cellType'],
    [{ tags: { 259: { type: 'short', values: [7] } } }, 'compression'],
    [{ tags: { 256: { type: 'long', values: [0] } } }, 'damaged'],
    [{ tile: 4, tags: { 322: { type: 'long', values: [0] } } }, 'damaged'],
    [
      { tags: { 256: { type: 'long', values: [50_000] }, 257: { type: 'long', values: [50_000] } } },
      'damaged',
    ],
    [
      { tile: 4, tags: { 322: { type: 'long', values: [60_000] }, 323: { type: 'long', values: [60_000] } } },
      'blockTooLarge',
    ],
    [{ tile: 4, tags: { 256: { type: 'long', values: [4e9] } } }, 'damaged'],
    [{ tags: { 257: { type: 'long', values: [50] }, 278: null } }, 'damaged'],
  ] as [Partial<TiffOptions>, string][])('refuses %j: %s', async (options, code) => {
    const problem = await refusal(options);
    expect(problem.code).toBe(code);
    expect(problem.message).not.toContain('\n');
  });

  it('refuses directories that lie about themselves', async () => {
    const bytes = tiffFile(small);
    const refuse = async (change: (b: DataView) => void, length = bytes.length) => {
      const copy = bytes.slice(0, length);
      change(new DataView(copy.buffer));
      return ((await geoTiffReader.open([memorySource(copy)])) as Problem).code;
    };
    const at = new DataView(bytes.buffer).getUint32(4, true);
    expect(await refuse(() => {}, 3)).toBe('notTiff');
    expect(await refuse((v) => v.setUint16(2, 44, true))).toBe('notTiff');
    expect(await refuse((v) => v.setUint16(0, 0x4848))).toBe('notTiff');
    expect(await refuse((v) => v.setUint32(4, 0xffffffff, true))).toBe('damaged');
    expect(await refuse((v) => v.setUint32(4, bytes.length - 1, true))).toBe('damaged');
    expect(await refuse((v) => v.setUint16(at, 0, true))).toBe('damaged');
    expect(await refuse((v) => v.setUint16(at, 65535, true))).toBe('damaged');
    expect(await refuse((v) => v.setUint16(at, 900, true))).toBe('damaged');
    expect(await refuse((v) => v.setUint32(at + 2 + 4, 0xfffffff0, true))).toBe('damaged');
    // An entry of a type that is not known is not there, so the width is missing.
    expect(await refuse((v) => v.setUint16(at + 2 + 2, 99, true))).toBe('damaged');
    expect(await refuse((v) => v.setUint16(at + 2 + 2, 5, true))).toBe('damaged');
  });

  it('cells that cannot be unpacked are NaN and said once', async () => {
    const garbage = (_: Uint8Array, i: number) => (i === 0 ? Uint8Array.from([1, 2, 3, 4]) : _);
    const file = await open({ compression: 'deflate', rowsPerStrip: 2, spoil: garbage });
    const cells = await whole(file.grids[0]);
    expect([...cells.slice(0, 14)].every(Number.isNaN)).toBe(true);
    expect([...cells.slice(14)]).toEqual(expected.slice(14));
    await whole(file.grids[0]);
    expect(file.problems.map((p) => p.code)).toEqual(['damagedBlock']);
    const empty = await open({ compression: 'lzw', spoil: () => Uint8Array.from([128, 64, 64]) });
    expect((await whole(empty.grids[0])).every(Number.isNaN)).toBe(true);
  });

  it('a window outside the grid or beyond all bounds is a fault of the program', async () => {
    const [grid] = (await open()).grids;
    for (const [c, r, w, h] of [
      [-1, 0, 1, 1],
      [0, -1, 1, 1],
      [6, 0, 2, 1],
      [0, 4, 1, 2],
      [0, 0, 0, 1],
      [0, 0, 1, 0],
    ])
      await expect(grid.window(c, r, w, h)).rejects.toThrow(RangeError);
  });
});

describe('unpacking', () => {
  const bytes = fc.uint8Array({ maxLength: 12_000 });
  const few = fc.array(fc.integer({ min: 0, max: 2 }), { maxLength: 12_000 }).map((a) => Uint8Array.from(a));

  it('gives back what an encoder packed, in LZW and PackBits', () => {
    fc.assert(
      fc.property(fc.oneof(bytes, few), (raw) => {
        expect(unpackLzw(packLzw(raw), raw.length)).toEqual(raw);
        expect(unpackBits(packBits(raw), raw.length)).toEqual(raw);
      }),
      { numRuns: 150 },
    );
  });

  it('takes raw runs, idle bytes and missing end codes', () => {
    expect([...unpackBits(Uint8Array.from([128, 2, 7, 8, 9, 255, 5]), 5)]).toEqual([7, 8, 9, 5, 5]);
    expect([...unpackLzw(packLzw(Uint8Array.from([1, 2])).slice(0, 4), 9)]).toEqual([1, 2]);
  });

  it('stops at the size of a block', async () => {
    const zeros = new Uint8Array(50_000);
    expect(() => unpackLzw(packLzw(zeros), 49_999)).toThrow(RangeError);
    expect(() => unpackLzw(packLzw(Uint8Array.from([1, 2, 3])), 2)).toThrow(RangeError);
    expect(() => unpackBits(packBits(zeros), 49_950)).toThrow(RangeError);
    const { deflateSync } = await import('node:zlib');
    await expect(inflate(deflateSync(new Uint8Array(50_000_000)), 100_000)).rejects.toThrow(
      'more than it should',
    );
  });

  it('never gives more than it may, whatever the bytes', () => {
    fc.assert(
      fc.property(fc.uint8Array({ maxLength: 300 }), (packed) => {
        for (const unpack of [unpackLzw, unpackBits]) {
          try {
            expect(unpack(packed, 500).length).toBeLessThanOrEqual(500);
          } catch (error) {
            expect(error).toBeInstanceOf(RangeError);
          }
        }
      }),
      { numRuns: 500 },
    );
  });
});

describe.skipIf(!haveRealFiles)(realFilesTitle('real GeoTIFF files'), () => {
  const openReal = async (name: string) => {
    const file = await geoTiffReader.open([
      memorySource(readFileSync(realFile(`surfaces/${name}`)), name, 65_536),
    ]);
    if ('message' in file) throw new Error(file.message);
    return file;
  };
  const at = async (grid: RawGrid, x: number, y: number) => {
    const column = Math.round((x - grid.firstX) / grid.cellX);
    const row = Math.round((grid.firstY - y) / grid.cellY);
    return (await grid.window(column, row, 1, 1))[0];
  };

  it('gts_raster_dem.tif', async () => {
    const { grids, crs } = await openReal('gts_raster_dem.tif');
    const [grid] = grids;
    expect(grid).toMatchObject({
      columns: 234,
      rows: 231,
      cellX: 1,
      cellY: 1,
      firstX: 0.5,
      firstY: 230.5,
      noData: 0,
    });
    expect(crs?.epsg).toBe(3879);
    const table = readFileSync(realFile('registers/gts_table_junctions.csv'), 'utf8')
      .trim()
      .split('\n')
      .map((l) => l.split(','));
    const rows = new Map(table.map((r) => [r[2], r]));
    for (const [name, z] of [
      ['j1', 26.819],
      ['j2', 26.858],
      ['j3', 28.017],
      ['j5', 27.414],
      ['j7', 27.313],
    ] as const) {
      const [x, y] = rows.get(name) as string[];
      expect(await at(grid, Number(x), Number(y))).toBeCloseTo(z, 3);
    }
  });

  it('ky4_elevation.tif', async () => {
    const { grids, crs, units } = await openReal('ky4_elevation.tif');
    const [grid] = grids;
    expect([grid.columns, grid.rows, grid.noData]).toEqual([587, 402, -999999]);
    expect(grid.cellX).toBeCloseTo(90.975, 3);
    expect(crs?.epsg).toBe(3547);
    // Heights are in metres on this grid of feet, and the file does not say so: the unit is left open.
    expect(units).toEqual({ horizontal: 'us-ft', vertical: null });
    const cells = (await whole(grid)).filter((v) => !Number.isNaN(v));
    expect(cells.reduce((a, b) => Math.min(a, b))).toBeCloseTo(117.438, 3);
    expect(cells.reduce((a, b) => Math.max(a, b))).toBeCloseTo(226.242, 3);
    expect(await at(grid, 4971350, 3905604)).toBeCloseTo(188.0638, 4);
  });
});
