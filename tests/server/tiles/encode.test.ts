import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { CountTuple } from '../../../server/store/tiles/read.ts';
import { readColumns } from '../../../server/tiles/columns.ts';
import { encodeCovers } from '../../../server/tiles/covers.ts';
import { encodeCounts } from '../../../server/tiles/encode.ts';
import { PointLayer } from '../../../server/tiles/layer.ts';
import { breachesOf, decodePoints } from '../../helpers/vectorTile.ts';

const address = { z: 13, x: 4300, y: 2840 };
const side = 2 ** 17;

/** A cover as the table draws it. */
function drawn(
  number: number,
  more: { x?: number; y?: number; texts?: string[]; tenths?: string } = {},
): string {
  const {
    x = 100,
    y = 200,
    tenths = '1234',
    texts = ['raise', `C-${number}`, 'storm', 'Sewer works', 'Quay Lane'],
  } = more;
  return [number, address.x * side + x, address.y * side + y, tenths, ...texts].join('\u001f');
}

const covers = (...records: string[]) => encodeCovers(address, readColumns(records.join('\u001e')));

describe('a tile of covers', () => {
  it('is the bytes of the specification, a layer of one feature read by hand', () => {
    const layer = new PointLayer('a', 4096);
    layer.tag(layer.key('k'), layer.value('v'));
    layer.point(1, 25, 17);
    // Vector Tile Specification 2.1, appendix A, worked out by hand: a layer of 31 bytes with version 2 and name; a feature
    // of 13 with id 1, tags [0, 0], type point and geometry [9, 50, 34], which is MoveTo(25, 17) of section 4.3.5; key,
    // value, extent 4096.
    const expected = '1a1f 7802 0a0161 120d 0801 12020000 1801 2203093222 1a016b 22030a0176 288020';
    expect(Buffer.from(layer.finish()).toString('hex')).toBe(expected.replaceAll(' ', ''));
  });

  it('holds to every rule, whatever the texts and places', () => {
    const separators = ['\u001e', '\u001f'];
    const text = fc
      .string({ maxLength: 20 })
      .map((given) => [...given].filter((letter) => !separators.includes(letter)).join(''));
    const record = fc.record({
      x: fc.integer({ min: -5120, max: side + 5119 }),
      y: fc.integer({ min: -5120, max: side + 5119 }),
      tenths: fc.oneof(fc.constant(''), fc.integer({ min: -99_999, max: 99_999 }).map(String)),
      texts: fc.tuple(fc.constantFrom('raise', 'leave', ''), fc.constant(''), text, text, text),
    });
    fc.assert(
      fc.property(fc.array(record, { minLength: 1, maxLength: 40 }), (records) => {
        const lines = records.map(({ texts, ...more }, index) =>
          drawn(index * 1000, { ...more, texts: [texts[0], `id ${index}`, ...texts.slice(2)] }),
        );
        const bytes = covers(...lines);
        expect(breachesOf(bytes)).toEqual([]);
        const points = decodePoints(bytes, 'covers', address);
        for (const [index, { x, y, tenths, texts }] of records.entries()) {
          expect(points[index]).toMatchObject({
            id: index * 1000,
            x: Math.floor(x / 32),
            y: Math.floor(y / 32),
          });
          expect(points[index].properties).toEqual({
            id: `id ${index}`,
            status: texts[0] || 'unplanned',
            ...(texts[2] && { kind: texts[2] }),
            ...(texts[3] && { owner: texts[3] }),
            ...(texts[4] && { street: texts[4] }),
            ...(tenths && { netBuildupM: Number(tenths) / 10_000 + 0 }),
          });
        }
      }),
      { numRuns: 60 },
    );
  });

  it('keeps texts whole: long ones, of other letters, and ones that begin alike', () => {
    const ids = [
      'Łąka-1',
      'C',
      'C-1',
      'C-12',
      'x'.repeat(119),
      'x'.repeat(120),
      'x'.repeat(300),
      'ø'.repeat(90),
    ];
    const streets = ['Quay', 'Quay Lane', 'Quay', '', 'Óbreg', ...'ABCDEFG', 'Quay Lane', 'Q'];
    const lines = streets.map((street, k) =>
      drawn(k, { texts: ['raise', ids[k] ?? `id ${k}`, 'storm', 'Sewer works', street] }),
    );
    const points = decodePoints(covers(...lines), 'covers', address);
    expect(points.map(({ properties }) => properties.street ?? '')).toEqual(streets);
    expect(points.map(({ properties }) => properties.id).slice(0, ids.length)).toEqual(ids);
  });

  it('is the same bytes in whatever order the rows come', () => {
    const lines = [7, 3, 900_000_000, 12].map((number) => drawn(number, { x: number % 1000 }));
    const bytes = covers(...lines);
    expect(covers(...lines.toReversed())).toEqual(bytes);
    expect(decodePoints(bytes, 'covers', address).map(({ id }) => id)).toEqual([3, 7, 12, 900_000_000]);
  });

  it('has features whose properties take more than 127 bytes', () => {
    const layer = new PointLayer('long', 4096);
    for (let each = 0; each < 200; each++) layer.tag(layer.key(`k${each}`), layer.value(each));
    layer.point(5, -160, 4255);
    const bytes = layer.finish();
    expect(breachesOf(bytes)).toEqual([]);
    const [{ properties, x, y }] = decodePoints(bytes, 'long', address);
    expect([x, y]).toEqual([-160, 4255]);
    expect(Object.keys(properties)).toHaveLength(200);
    expect(properties.k199).toBe(199);
  });

  it('without covers is no bytes at all', () => {
    expect(encodeCovers(address, readColumns(''))).toHaveLength(0);
    expect(encodeCounts(address, [])).toHaveLength(0);
  });
});

describe('a tile of counts', () => {
  it('has a point a cell with the covers in all and of each status, in the middle of them', () => {
    const place = { z: 12, x: 2150, y: 1420 };
    const west = place.x * 2 ** 18;
    const north = place.y * 2 ** 18;
    const counts: CountTuple[] = [
      [9, 'raise', 3, 3 * west + 90_000, 3 * north + 120_000],
      [9, '', 1, west + 30_000, north + 40_000],
      [63, 'leave', 2, 2 * (west + 262_143), 2 * (north + 262_143)],
    ];
    const bytes = encodeCounts(place, counts);
    expect(breachesOf(bytes)).toEqual([]);
    expect(decodePoints(bytes, 'counts', place)).toMatchObject([
      { x: 468, y: 625, properties: { covers: 4, raise: 3, unplanned: 1 } },
      { x: 4095, y: 4095, properties: { covers: 2, leave: 2 } },
    ]);
  });
});
