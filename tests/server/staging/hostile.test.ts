import { afterAll, beforeAll, expect, it } from 'vitest';
import { createTestApp, type TestApp } from '../../helpers/app.ts';
import { zipBytes } from '../../helpers/gisFiles.ts';
import { uploadWhole } from '../../helpers/staged-import.ts';
import { tiffFile } from '../../helpers/tiffFile.ts';

let test: TestApp;
beforeAll(async () => {
  test = await createTestApp();
});
afterAll(() => test.close());

const text = (content: string) => new TextEncoder().encode(content);
const entities = Array.from({ length: 9 }, (_, i) => `<!ENTITY e${i + 1} "${`&e${i};`.repeat(10)}">`).join(
  '',
);
const inner = zipBytes([{ path: 'a.csv', bytes: text('1,2,3,4\n'.repeat(10_000)) }]);
/** A shapefile's head that claims four thousand million bytes. */
function claimingShapefile(): Uint8Array {
  const bytes = Buffer.alloc(108);
  bytes.writeInt32BE(9994, 0);
  bytes.writeInt32BE(2_000_000_000, 24);
  bytes.writeInt32LE(1000, 28);
  bytes.writeInt32LE(1, 32);
  bytes.writeDoubleLE(1, 52);
  bytes.writeDoubleLE(1, 60);
  bytes.writeInt32BE(1, 100);
  bytes.writeInt32BE(1_000_000_000, 104);
  return bytes;
}

it.each([
  [
    'entities in entities',
    'a.xml',
    text(`<?xml version="1.0"?><!DOCTYPE L [<!ENTITY e0 "x">${entities}]><LandXML>&e9;</LandXML>`),
    /DOCTYPE/,
  ],
  [
    'an entity of another file',
    'a.xml',
    text('<!DOCTYPE L [<!ENTITY x SYSTEM "file:///etc/passwd">]><LandXML>&x;</LandXML>'),
    /DOCTYPE/,
  ],
  ['elements without end', 'a.xml', text(`<LandXML>${'<a>'.repeat(300_000)}`), /more than 100 deep/],
  ['brackets without end', 'a.geojson', text(`{"a":${'['.repeat(300_000)}`), /more than 64 brackets/],
  [
    'an archive that expands a thousandfold',
    'a.zip',
    zipBytes([{ path: 'S.shp', bytes: new Uint8Array(30 * 2 ** 20) }]),
    /claims to expand|over the limit/,
  ],
  [
    'an archive that names a place outside itself',
    'a.zip',
    zipBytes([{ path: '../../etc/cron.d/x.shp', bytes: text('x') }]),
    /names a place outside itself/,
  ],
  [
    'an archive in an archive',
    'a.zip',
    zipBytes([{ path: 'b.zip', bytes: inner }]),
    /archive inside an archive/,
  ],
  [
    'more bytes claimed than are there',
    'a.shp',
    claimingShapefile(),
    /says it has 4000000000 bytes but has 108/,
  ],
  [
    'ten gigabytes of cells claimed',
    'a.tif',
    tiffFile({
      columns: 2,
      rows: 2,
      value: () => 1,
      tags: { 256: { type: 'long', values: [50_000] }, 257: { type: 'long', values: [50_000] } },
    }),
    /50000 by 50000 cells need 25000 blocks, and it lists 1/,
  ],
  [
    'a million columns',
    'a.csv',
    text(`${'1,'.repeat(1_000_000)}\n`),
    /no row of a table|more than 1024 columns/,
  ],
  ['a line without end', 'a.csv', text(`1,${'9'.repeat(3_000_000)}`), /no row of a table/],
  [
    'bytes of nothing',
    'a.bin',
    Uint8Array.from({ length: 10_000 }, (_, i) => (i * 7919) % 251),
    /none of the formats/,
  ],
])(
  '%s ends as a failed import with one clear line, and nothing stays of it',
  async (_, name, content, words) => {
    const client = await uploadWhole(test, [{ name, content }]);
    const found = await client.now();
    await client.act('discard');
    expect(found).toMatchObject({ state: 'failed', preview: null });
    expect(found.said).toMatch(words);
    expect(found.said).not.toContain('\n');
    expect(found.said.length).toBeLessThan(400);
    await client.act('discard');
    expect(await test.uploads.list()).toEqual([]);
  },
);
