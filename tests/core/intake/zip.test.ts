import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { shapefileReader } from '#core/intake/shapefile.ts';
import { memorySource, openZip } from '#core/intake/zip.ts';
import {
  chunked,
  dbfBytes,
  featuresOf,
  shape,
  shpBytes,
  type ZipSpec,
  zipBytes,
} from '../../helpers/gisFiles.ts';

const text = (value: string) => new TextEncoder().encode(value);
const csv: ZipSpec = { path: 'covers.csv', bytes: text('id,x\n0012,1\n') };

async function names(...entries: ZipSpec[]): Promise<string[] | string> {
  const opened = await openZip(memorySource('job.zip', zipBytes(entries)));
  return 'code' in opened ? opened.code : opened.map(({ name }) => name);
}

const open = (bytes: Uint8Array) => openZip(memorySource('job.zip', bytes));

/** Bytes that hardly shrink, the same each time. */
function noise(length: number): Uint8Array {
  const bytes = new Uint8Array(length);
  let state = 1;
  for (let i = 0; i < length; i++) {
    state ^= state << 13;
    state ^= state >>> 17;
    state ^= state << 5;
    bytes[i] = state;
  }
  return bytes;
}

describe('archives', () => {
  it('give their files by base name, stored or deflated, and leave folders and hidden files alone', async () => {
    expect(
      await names(
        { path: 'job/', bytes: text(''), stored: true },
        { path: 'job/a.csv', bytes: text('id\n1\n') },
        { path: 'job\\b.geojson', bytes: text('{}'), stored: true },
        { path: '__MACOSX/job/._a.csv', bytes: text('junk') },
        { path: 'job/.hidden.csv', bytes: text('junk') },
        { path: 'job/readme.pdf', bytes: text('junk') },
        { path: 'job/a.shp.xml', bytes: text('<metadata/>') },
      ),
    ).toEqual(['a.csv', 'b.geojson']);
  });

  it('a zipped shapefile with a folder, capitals and a hidden copy is one layer "covers" without a system', async () => {
    const { shp, shx } = shpBytes(1, [shape.point(83158.733, 431225.381)]);
    const dbf = dbfBytes({ fields: [{ name: 'ID', type: 'C', length: 8 }], rows: [['MH-1']] });
    const files = await open(
      zipBytes([
        { path: 'job/COVERS.SHP', bytes: shp },
        { path: 'job/Covers.shx', bytes: shx },
        { path: 'job/covers.DBF', bytes: dbf },
        { path: '__MACOSX/job/._COVERS.SHP', bytes: text('Mac OS X') },
      ]),
    );
    if ('code' in files) throw new Error(files.message);
    const opened = await shapefileReader.open(files);
    if ('code' in opened) throw new Error(opened.message);
    expect(opened.layers.map(({ name, crs }) => [name, crs])).toEqual([['covers', null]]);
    expect(await featuresOf(opened.layers[0])).toEqual([
      { row: 1, geometry: { type: 'point', position: [83158.733, 431225.381, null] }, values: ['MH-1'] },
    ]);
  });

  it.each<[string, string, ZipSpec[]]>([
    ['a path above the archive', 'zipPath', [{ ...csv, path: '../covers.csv' }]],
    ['a path above it with backslashes', 'zipPath', [{ ...csv, path: 'a\\..\\..\\covers.csv' }]],
    ['an absolute path', 'zipPath', [{ ...csv, path: '/etc/covers.csv' }]],
    ['a drive', 'zipPath', [{ ...csv, path: 'C:/covers.csv' }]],
    ['a control character in a name', 'zipPath', [{ ...csv, path: 'covers\0.csv' }]],
    ['two files of one name', 'zipDuplicate', [csv, { ...csv, path: 'other/COVERS.csv' }]],
    ['an archive in an archive', 'zipNested', [csv, { path: 'more.zip', bytes: zipBytes([csv]) }]],
    ['an encrypted file', 'zipEncrypted', [{ ...csv, flags: 0x801 }]],
    ['an unknown method', 'zipMethod', [{ ...csv, method: 9 }]],
    ['no file that is read', 'zipEmpty', [{ path: 'photo.jpg', bytes: text('x') }]],
    [
      'more entries than anyone sends',
      'zipEntries',
      Array.from({ length: 1001 }, (_, i) => ({ path: `${i}.jpg`, bytes: text('') })),
    ],
    ['a file that is longer than it claims', 'zipDamaged', [{ ...csv, claims: 3 }]],
    ['a file that is shorter than it claims', 'zipDamaged', [{ ...csv, claims: 300 }]],
  ])('are refused for %s', async (_, code, entries) => {
    expect(await names(...entries)).toBe(code);
  });

  it('are refused at once when they would expand beyond all bounds', async () => {
    const started = performance.now();
    const before = process.memoryUsage().rss;
    const bomb = zipBytes([{ path: 'covers.csv', bytes: new Uint8Array(50 << 20) }]);
    expect(await open(bomb)).toMatchObject({ code: 'zipTooLarge', value: 'covers.csv' });
    const liar = zipBytes([{ path: 'covers.csv', bytes: new Uint8Array(50 << 20), claims: 1000 }]);
    expect(await open(liar)).toMatchObject({ code: 'zipDamaged' });
    const giant = zipBytes([{ path: 'covers.shp', bytes: text('x'), claims: 0xfffffffe }]);
    expect(await open(giant)).toMatchObject({ code: 'zipTooLarge' });
    expect(performance.now() - started).toBeLessThan(2000);
    expect(process.memoryUsage().rss - before).toBeLessThan(200e6);
  });

  it('are refused when their files share bytes or run past the end', async () => {
    const bytes = Buffer.from(zipBytes([csv, { path: 'b.csv', bytes: text('id\n') }]));
    const second = bytes.lastIndexOf(Buffer.from([0x50, 0x4b, 1, 2]));
    bytes.writeUInt32LE(0, second + 42);
    expect(await open(bytes)).toMatchObject({ code: 'zipDamaged' });
    const large = Buffer.from(zipBytes([csv]));
    large.writeUInt32LE(0xffffffff, large.lastIndexOf(Buffer.from([0x50, 0x4b, 1, 2])) + 24);
    expect(await open(large)).toMatchObject({ code: 'zipDamaged' });
  });

  it('are refused when a checksum is wrong', async () => {
    const bytes = Buffer.from(zipBytes([{ ...csv, stored: true }]));
    bytes[bytes.indexOf('0012')] ^= 1;
    expect(await open(bytes)).toMatchObject({ code: 'zipDamaged', value: 'covers.csv' });
  });

  it('read large files forward and back without holding them', async () => {
    const large = noise(3 << 20);
    const files = await openZip(memorySource('a.zip', zipBytes([{ path: 'a.shp', bytes: large }])), {
      memoryBytes: 1 << 20,
    });
    if ('code' in files) throw new Error(files.message);
    for (const offset of [0, 2_000_000, 1_999_990, 3_100_000, 5]) {
      expect(await files[0].bytes(offset, 100)).toEqual(large.subarray(offset, offset + 100));
    }
    expect(await files[0].bytes(large.length - 3, 10)).toHaveLength(3);
  });

  it('are kept where the caller wants them', async () => {
    const kept: string[] = [];
    const big = noise(3 << 20);
    const files = await openZip(memorySource('job.zip', zipBytes([{ path: 'a.gpkg', bytes: big }])), {
      memoryBytes: 1 << 20,
      keep: async (name, size, chunks) => {
        let length = 0;
        for await (const chunk of chunks) length += chunk.length;
        kept.push(`${name} ${size === length}`);
        return memorySource(name, new Uint8Array(0));
      },
    });
    expect('code' in files).toBe(false);
    expect(kept).toEqual(['a.gpkg true']);
  });

  it('never throw and always end, whatever bytes come', async () => {
    const valid = zipBytes([csv, { path: 'b.csv', bytes: text('id\n'), stored: true }]);
    const broken = fc.oneof(
      fc.uint8Array({ maxLength: 400 }),
      fc
        .array(fc.tuple(fc.nat(valid.length - 1), fc.nat(255)), { minLength: 1, maxLength: 6 })
        .map((changes) => {
          const copy = Uint8Array.from(valid);
          for (const [at, byte] of changes) copy[at] = byte;
          return copy;
        }),
      fc.nat(valid.length).map((length) => valid.slice(0, length)),
    );
    await fc.assert(
      fc.asyncProperty(broken, async (bytes) => {
        const opened = await openZip(chunked(memorySource('job.zip', bytes), 7));
        if ('code' in opened) expect(opened.message).not.toContain('\n');
        else for (const file of opened) expect((await file.bytes(0, file.size)).length).toBe(file.size);
      }),
      { numRuns: 500 },
    );
  });
});
