import { readFileSync } from 'node:fs';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { dxfReader } from '#core/intake/dxf.ts';
import { Faults } from '#core/intake/faults.ts';
import { geoTiffReader } from '#core/intake/geoTiff.ts';
import { landXmlReader } from '#core/intake/landXml.ts';
import { LineStore } from '#core/intake/lineStore.ts';
import type { OpenedFile, Reader } from '#core/intake/types.ts';
import type { Problem } from '#core/problem.ts';
import { latticeLandXml } from '../../helpers/landXmlFile.ts';
import { allShots, endlessSource, memorySource } from '../../helpers/memorySource.ts';
import { tiffFile } from '../../helpers/tiffFile.ts';

const gigabyte = 1e9;
const refusal = async (reader: Reader, content: string | Uint8Array) =>
  (await reader.open([memorySource(content, 'x', 65_536)])) as Problem;

/** Opens a file that goes on for a gigabyte; how it was refused, after how much of it and in what time. */
async function openEndless(reader: Reader, beginning: string, piece: string) {
  const { source, asked } = endlessSource(beginning, piece, gigabyte);
  const before = process.memoryUsage().rss;
  const start = performance.now();
  const problem = (await reader.open([source])) as Problem;
  return {
    code: problem.code,
    message: problem.message,
    bytes: asked.bytes,
    seconds: (performance.now() - start) / 1000,
    grown: process.memoryUsage().rss - before,
  };
}

describe('LandXML that means harm', () => {
  it.each([
    [
      'entities in entities',
      '<?xml version="1.0"?><!DOCTYPE lolz [<!ENTITY a "ha"><!ENTITY b "&a;&a;&a;&a;">]><LandXML>&b;</LandXML>',
    ],
    [
      'an external entity',
      '<!DOCTYPE LandXML [<!ENTITY x SYSTEM "file:///etc/hostname">]><LandXML name="&x;"/>',
    ],
    ['an external subset', '<!DOCTYPE LandXML SYSTEM "http://example.org/x.dtd"><LandXML/>'],
  ])('%s: the declaration is refused in those words', async (_, text) => {
    const problem = await refusal(landXmlReader, text);
    expect(problem.code).toBe('docType');
    expect(problem.message).toContain('document type declaration (DOCTYPE)');
    expect(problem.message).not.toContain('\n');
  });

  it.each([
    ['a text', '<LandXML><CgPoints><CgPoint name="1">', '1 ', 'tooLong'],
    ['a section of marked text', '<LandXML><CgPoint><![CDATA[', '<a>', 'tooLong'],
    ['a comment', '<LandXML><!-- ', '< ', 'tooLong'],
    ['an attribute', '<LandXML name="', 'x', 'tooLong'],
    ['a tag of many attributes', '<LandXML ', ' a="1"', 'tooLong'],
    ['a name', '<', 'L', 'tooLong'],
    ['a processing instruction', '<?x ', '? ', 'tooLong'],
    ['a declaration', '<!DOCTYPE x [', '<!ENTITY a "b">', 'docType'],
    ['texts between parts', '<LandXML><CgPoint>', '1 <!--a-->', 'tooLong'],
    ['elements in one another', '<LandXML>', '<a>', 'tooDeep'],
  ])('%s without end is refused early', async (_, beginning, piece, code) => {
    const { bytes, seconds, grown, ...problem } = await openEndless(landXmlReader, beginning, piece);
    expect(problem.code).toBe(code);
    expect(problem.message).not.toContain('\n');
    expect(bytes).toBeLessThan(60e6);
    // A second of work; twice that where other tests share the processor.
    expect(seconds).toBeLessThan(4);
    expect(grown).toBeLessThan(200e6);
  });

  it.each([
    ['<LandXML><Units></LandXML>', 'notWellFormed'],
    ['<LandXML>', 'notWellFormed'],
    ['<LandXML>&undefined;</LandXML>', 'notWellFormed'],
    ['', 'notWellFormed'],
    ['<kml></kml>', 'notLandXml'],
    ['<?xml version="1.0" encoding="klingon"?><LandXML/>', 'encoding'],
  ])('%s is one line', async (text, code) => {
    const problem = await refusal(landXmlReader, text);
    expect(problem.code).toBe(code);
    expect(problem.message).not.toContain('\n');
  });

  it('surfaces and alignments without number are refused', async () => {
    expect((await refusal(landXmlReader, `<LandXML>${'<Surface/>'.repeat(10_001)}</LandXML>`)).code).toBe(
      'tooMany',
    );
    expect((await refusal(landXmlReader, `<LandXML>${'<Alignment/>'.repeat(100_001)}</LandXML>`)).code).toBe(
      'tooMany',
    );
  });
});

describe('drawings that mean harm', () => {
  it('a line without end is refused early', async () => {
    const { code, bytes, seconds } = await openEndless(dxfReader, '0\nSECTION\n2\n', 'x');
    expect(code).toBe('lineTooLong');
    expect(bytes).toBeLessThan(1e6);
    expect(seconds).toBeLessThan(1);
  });

  it('layers without number are refused', async () => {
    const points = Array.from({ length: 10_001 }, (_, i) => `0\nPOINT\n8\nL${i}\n10\n1\n20\n2\n`).join('');
    expect((await refusal(dxfReader, `0\nSECTION\n2\nENTITIES\n${points}`)).code).toBe('tooMany');
  });

  it('lines hold a bounded number of places', () => {
    const faults = new Faults();
    const store = new LineStore(faults);
    const positions = new Array(1_500_000).fill([0, 0, null]);
    for (let row = 1; row <= 3; row++) store.add({ name: '', role: 'line', positions, row });
    expect(store.lines).toHaveLength(1);
    expect(faults.list).toMatchObject([{ code: 'tooManyLines', row: 2 }]);
  });
});

describe('grids that mean harm', () => {
  it('a small file of the large format that claims all there is', async () => {
    const honest = tiffFile({ columns: 4, rows: 4, value: () => 1, bigTiff: true });
    const view = new DataView(honest.buffer);
    const at = Number(view.getBigUint64(8, true));
    const entries = Number(view.getBigUint64(at, true));
    for (let i = 0; i < entries; i++) {
      const lie = honest.slice();
      new DataView(lie.buffer).setBigUint64(at + 8 + 20 * i + 4, 2n ** 60n, true);
      expect((await refusal(geoTiffReader, lie)).code).toBe('damaged');
    }
  });

  it('ten gigabytes of cells in a kilobyte', async () => {
    const size = { type: 'long' as const, values: [50_000] };
    const start = performance.now();
    const lie = tiffFile({
      columns: 4,
      rows: 4,
      value: () => 1,
      rowsPerStrip: 1,
      tags: { 256: size, 257: size },
    });
    expect((await refusal(geoTiffReader, lie)).message).toContain('lists 4');
    expect(performance.now() - start).toBeLessThan(1000);
  });
});

/** Reads all that a file offers. */
async function drain(file: OpenedFile | Problem): Promise<void> {
  if ('message' in file) {
    expect(file.message).not.toBe('');
    return;
  }
  for (const set of file.points) {
    const shots = await allShots(set);
    expect(shots.length).toBe(set.count);
  }
  for (const layer of file.layers)
    for await (const batch of layer.features()) expect(batch.length).toBeGreaterThan(0);
  for (const tin of file.tins)
    for (const corner of tin.faces) expect(corner).toBeLessThan(tin.points.length / 3);
  for (const grid of file.grids) {
    const columns = Math.min(grid.columns, 100);
    await grid.window(0, 0, columns, Math.min(grid.rows, 100));
  }
  expect(file.problems.length).toBeLessThanOrEqual(1001);
}

const dxf = [
  '0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n6\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n',
  '0\nPOINT\n8\nA\n10\n1\n20\n2\n30\n3\n0\nLWPOLYLINE\n70\n1\n10\n1\n20\n2\n42\n0.5\n10\n5\n20\n6\n',
  '0\n3DFACE\n10\n0\n20\n0\n30\n0\n11\n1\n21\n0\n31\n0\n12\n1\n22\n1\n32\n0\n13\n0\n23\n1\n33\n0\n',
  '0\nPOLYLINE\n70\n64\n0\nVERTEX\n70\n192\n10\n1\n20\n1\n30\n1\n0\nVERTEX\n70\n128\n71\n1\n72\n1\n73\n1\n0\nSEQEND\n0\nENDSEC\n0\nEOF\n',
].join('');

const samples: [string, Reader, Uint8Array][] = [
  ['LandXML', landXmlReader, readFileSync(new URL('../../fixtures/intake/street.xml', import.meta.url))],
  ['DXF', dxfReader, Buffer.from(dxf)],
  [
    'GeoTIFF in LZW',
    geoTiffReader,
    tiffFile({ columns: 9, rows: 9, value: (c, r) => c * r, compression: 'lzw', tile: 4, keys: { 1025: 2 } }),
  ],
  [
    'GeoTIFF in Deflate',
    geoTiffReader,
    tiffFile({ columns: 9, rows: 9, value: (c, r) => c * r, compression: 'deflate', bigTiff: true }),
  ],
  [
    'GeoTIFF in PackBits',
    geoTiffReader,
    tiffFile({ columns: 9, rows: 9, value: (c, r) => c * r, compression: 'packbits', bigEndian: true }),
  ],
];

describe.each(samples)('%s, whatever the bytes', (_, reader, valid) => {
  it('never throws on random bytes', async () => {
    await fc.assert(
      fc.asyncProperty(fc.uint8Array({ maxLength: 2000 }), async (bytes) => {
        expect(reader.recognises('x', bytes)).toBeGreaterThanOrEqual(0);
        await drain(await reader.open([memorySource(bytes)]));
      }),
      { numRuns: 100 },
    );
  });

  it('never throws on a good file with some bytes changed, cut out, doubled or cut off', async () => {
    const change = fc.record({
      at: fc.nat(valid.length - 1),
      bytes: fc.uint8Array({ maxLength: 4 }),
      drop: fc.nat(6),
      copy: fc.nat(40),
    });
    await fc.assert(
      fc.asyncProperty(
        fc.array(change, { minLength: 1, maxLength: 5 }),
        fc.option(fc.nat(valid.length)),
        async (changes, end) => {
          let bytes: Uint8Array = Uint8Array.from(valid);
          for (const { at, bytes: put, drop, copy } of changes)
            bytes = Buffer.concat([
              bytes.slice(0, at),
              put,
              bytes.slice(at, at + copy),
              bytes.slice(at + drop),
            ]);
          await drain(await reader.open([memorySource(bytes.slice(0, end ?? undefined), 'x', 100)]));
        },
      ),
      { numRuns: 250 },
    );
  });
});

describe('time', () => {
  const seconds = async (reader: Reader, text: string) => {
    const start = performance.now();
    await drain(await reader.open([memorySource(text, 'x', 65_536)]));
    return (performance.now() - start) / 1000;
  };

  it.each([
    ['a LandXML lattice', landXmlReader, (n: number) => [...latticeLandXml(40 * Math.sqrt(n))].join('')],
    [
      'faces of points that are not there',
      landXmlReader,
      (n: number) =>
        `<LandXML><Surface>${Array.from({ length: 2000 * n }, (_, i) => `<F>${i} a${i} b${i}</F>`).join('')}</Surface></LandXML>`,
    ],
    [
      'points that take their place from the next',
      landXmlReader,
      (n: number) =>
        `<LandXML>${Array.from({ length: 2000 * n }, (_, i) => `<CgPoint name="${i}" pntRef="${i + 1}"/>`).join('')}</LandXML>`,
    ],
    [
      'a drawing of many vertices',
      dxfReader,
      (n: number) =>
        `0\nSECTION\n2\nENTITIES\n0\nLWPOLYLINE\n${'10\n1\n20\n2\n42\n0.1\n'.repeat(2000 * n)}0\nENDSEC\n0\nEOF\n`,
    ],
  ] as [string, Reader, (n: number) => string][])(
    '%s: sixteen times the file takes some sixteen times as long',
    async (_, reader, make) => {
      await seconds(reader, make(1));
      const once = Math.min(await seconds(reader, make(1)), await seconds(reader, make(1)));
      const more = Math.min(await seconds(reader, make(16)), await seconds(reader, make(16)));
      // A quadratic reader takes 256 times as long.
      expect(more).toBeLessThan(64 * once + 0.2);
    },
  );
});
