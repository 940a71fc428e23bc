import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { geoJsonReader } from '#core/intake/geoJson.ts';
import type { ByteSource, OpenedFile } from '#core/intake/types.ts';
import { memorySource } from '#core/intake/zip.ts';
import { chunked, featuresOf, hasRealFiles, realSource, textSource } from '../../helpers/gisFiles.ts';

async function open(source: ByteSource): Promise<OpenedFile> {
  const opened = await geoJsonReader.open([source]);
  if ('code' in opened) throw new Error(opened.message);
  return opened;
}

const openText = (text: string) => open(textSource('covers.geojson', text));
const codes = ({ problems }: OpenedFile) => problems.map(({ code }) => code);

async function refusal(text: string): Promise<string> {
  const opened = await geoJsonReader.open([textSource('covers.geojson', text)]);
  return 'code' in opened ? opened.code : 'none';
}

const point = (properties: object, coordinates: unknown, more = '') =>
  `{"type":"Feature",${more}"properties":${JSON.stringify(properties)},"geometry":{"type":"Point","coordinates":${JSON.stringify(coordinates)}}}`;
const collection = (features: readonly string[], more = '') =>
  `{"type":"FeatureCollection",${more}"features":[${features.join(',')}]}`;

describe('the GeoJSON reader', () => {
  it('keeps ids as they are written: 0012, 12, 3-12 and 100E10 are four texts', async () => {
    const ids = ['0012', '12', '3-12', '100E10'];
    const { layers } = await openText(collection(ids.map((id) => point({ id }, [10, 50]))));
    const features = await featuresOf(layers[0]);
    expect(layers[0].columns).toEqual([{ name: 'id', type: 'text' }]);
    expect(features.map(({ values }) => values[0])).toEqual(ids);
  });

  it('keeps every digit of a whole number past 2^53', async () => {
    const { layers } = await openText(
      '{"type":"Feature","properties":{"id":90071992547409931,"depth":1.25},"geometry":null}',
    );
    expect((await featuresOf(layers[0]))[0].values).toEqual(['90071992547409931', 1.25]);
  });

  it('reads the old crs member wherever it stands', async () => {
    const crs = '"crs":{"type":"name","properties":{"name":"urn:ogc:def:crs:EPSG::3433"}}';
    const feature = point({ id: 'MH-1' }, [1280000, 200000]);
    for (const text of [
      collection([feature], `${crs},`),
      `{"type":"FeatureCollection","features":[${feature}],${crs}}`,
    ]) {
      const opened = await openText(text);
      expect(opened.crs).toEqual({ epsg: 3433, text: 'urn:ogc:def:crs:EPSG::3433', from: 'crs member' });
      expect(opened.units.horizontal).toBeNull();
      const [{ geometry }] = await featuresOf(opened.layers[0]);
      expect(geometry).toEqual({ type: 'point', position: [1280000, 200000, null] });
    }
  });

  it.each([
    ['EPSG:3433', 3433],
    ['urn:ogc:def:crs:EPSG:6.9:3433', 3433],
    ['http://www.opengis.net/def/crs/EPSG/0/3433', 3433],
    ['urn:ogc:def:crs:OGC:1.3:CRS84', 4326],
    ['a grid of our own', null],
  ])('reads the crs name %s', async (name, epsg) => {
    const crs = `"crs":{"type":"name","properties":{"name":${JSON.stringify(name)}}},`;
    expect((await openText(collection([point({}, [1, 2])], crs))).crs?.epsg).toBe(epsg);
  });

  it('says that a file without crs is longitude and latitude because RFC 7946 says so', async () => {
    const opened = await openText(collection([point({}, [-84.5, 38.1])]));
    expect(opened.crs).toMatchObject({ epsg: 4326, from: 'RFC 7946' });
    expect(opened.units.horizontal).toBe('degree');
  });

  it('keeps a third ordinate of 0 on every point but says that it is no elevation', async () => {
    const opened = await openText(collection([point({}, [1, 2, 0]), point({}, [3, 4, 0])]));
    expect(codes(opened)).toEqual(['flatThirdOrdinate']);
    expect((await featuresOf(opened.layers[0]))[0].geometry).toMatchObject({ position: [1, 2, 0] });
    expect(codes(await openText(collection([point({}, [1, 2, 0]), point({}, [3, 4, 0.42])])))).toEqual([]);
  });

  it('keeps records without a place', async () => {
    const { layers, problems } = await openText(
      collection([
        '{"type":"Feature","properties":{"id":"MH-7"},"geometry":null}',
        point({ id: 'MH-8' }, []),
      ]),
    );
    const features = await featuresOf(layers[0]);
    expect(features.map(({ geometry, values }) => [values[0], geometry])).toEqual([
      ['MH-7', null],
      ['MH-8', null],
    ]);
    expect(problems).toEqual([]);
  });

  it('reads a feature, a bare geometry and newline-delimited text, with and without record separators', async () => {
    expect((await openText(point({ id: 'a' }, [1, 2]))).layers[0].count).toBe(1);
    expect((await openText('{"type":"Point","coordinates":[1,2]}')).layers[0].count).toBe(1);
    const lines = [point({ id: 'a' }, [1, 2]), point({ id: 'b' }, [3, 4])];
    expect((await openText(`${lines.join('\n')}\n`)).layers[0].count).toBe(2);
    expect((await openText(lines.map((line) => `\x1e${line}\n`).join(''))).layers[0].count).toBe(2);
  });

  it('takes a geometry of several parts apart and says so', async () => {
    const several =
      '{"type":"Feature","properties":{"id":"r"},"geometry":{"type":"GeometryCollection","geometries":[{"type":"MultiPoint","coordinates":[[1,2],[3,4]]},{"type":"LineString","coordinates":[[0,0],[5,5]]}]}}';
    const opened = await openText(collection([several]));
    expect(opened.layers[0]).toMatchObject({ geometry: 'mixed', count: 3 });
    expect(codes(opened)).toEqual(['severalParts']);
    const features = await featuresOf(opened.layers[0]);
    expect(features.map(({ row, values }) => [row, values[0]])).toEqual([
      [1, 'r'],
      [1, 'r'],
      [1, 'r'],
    ]);
  });

  it('reads a byte order mark and UTF-16, in chunks of any size', async () => {
    const text = collection([point({ street: 'Überweg', note: '"}]\\' }, [1, 2])]);
    const sources = [
      memorySource('a.geojson', new TextEncoder().encode(`\uFEFF${text}`)),
      memorySource('b.geojson', Buffer.from(`\uFEFF${text}`, 'utf16le')),
    ];
    for (const source of sources)
      for (const size of [1, 3, 7, 1000]) {
        const { layers } = await open(chunked(source, size));
        expect((await featuresOf(layers[0]))[0].values).toEqual(['Überweg', '"}]\\']);
      }
  });

  it('names a bad feature and reads the others', async () => {
    const bad = '{"type":"Feature","properties":{},"geometry":{"type":"Point","coordinates":["x",2]}}';
    const opened = await openText(
      collection([point({ id: 1 }, [1, 2]), bad, '{"type":"Feature",}', '7', point({ id: 2 }, [3, 4])]),
    );
    expect(opened.problems.map(({ code, row }) => [code, row])).toEqual([
      ['geometry', 2],
      ['notJson', 3],
      ['notAFeature', 4],
    ]);
    expect((await featuresOf(opened.layers[0])).map(({ row }) => row)).toEqual([1, 2, 5]);
    expect(opened.problems).toHaveLength(3);
  });

  it('reads NaN as blank and says so', async () => {
    const opened = await openText('{"type":"Feature","properties":{"rim":NaN,"note":"NaN"},"geometry":null}');
    expect((await featuresOf(opened.layers[0]))[0].values).toEqual([null, 'NaN']);
    expect(codes(opened)).toEqual(['notJsonNumber']);
  });

  it('reads what there is of a file that is cut off', async () => {
    const text = collection([point({}, [1, 2]), point({}, [3, 4])]);
    const opened = await openText(text.slice(0, -30));
    expect(opened.layers[0].count).toBe(1);
    expect(codes(opened)).toEqual(['truncated']);
  });

  it('refuses depth bombs, giant records and rows of a million columns at once', async () => {
    const started = performance.now();
    expect(await refusal(`{"type":"FeatureCollection","features":${'['.repeat(5_000_000)}`)).toBe('depth');
    expect(await refusal(`{"type":"Feature","properties":${'{"a":'.repeat(1_000_000)}`)).toBe('depth');
    expect(await refusal(`{"type":"Feature","properties":{"a":"${'x'.repeat(17 << 20)}"}}`)).toBe(
      'recordSize',
    );
    const wide = Object.fromEntries(Array.from({ length: 100_000 }, (_, i) => [`c${i}`, i]));
    expect(await refusal(point(wide, [1, 2]))).toBe('columnCount');
    expect(performance.now() - started).toBeLessThan(2000);
  });

  it('refuses what is no GeoJSON', async () => {
    expect(await refusal('[1,2]')).toBe('notJson');
    expect(await refusal('{"type":"Topology"}')).toBe('notGeoJson');
    expect(await refusal('')).toBe('notGeoJson');
  });

  it('lists at most a thousand problems and counts the rest', async () => {
    const { problems } = await openText(collection(Array.from({ length: 1500 }, () => '7')));
    expect(problems).toHaveLength(1001);
    expect(problems[1000]).toMatchObject({ code: 'more', message: '500 more problems are not listed' });
  });

  it('recognises itself', () => {
    const sure = (name: string, text: string) =>
      geoJsonReader.recognises(name, new TextEncoder().encode(text));
    expect(sure('a.json', collection([]))).toBe(1);
    expect(sure('a.json', '{"name":"settings"}')).toBeLessThan(0.5);
    expect(sure('a.txt', '1,2,3')).toBe(0);
  });

  it('never throws and always ends, whatever bytes come', async () => {
    const valid = new TextEncoder().encode(
      collection([point({ id: 'a', n: 1.5 }, [1, 2, 3]), point({ id: 'b' }, [3, 4])]),
    );
    const mutated = fc
      .array(fc.tuple(fc.nat(valid.length - 1), fc.nat(255)), { maxLength: 8 })
      .map((changes) => {
        const bytes = valid.slice();
        for (const [at, byte] of changes) bytes[at] = byte;
        return bytes;
      });
    await fc.assert(
      fc.asyncProperty(
        fc.oneof(fc.uint8Array({ maxLength: 300 }), mutated),
        fc.integer({ min: 1, max: 64 }),
        async (bytes, size) => {
          const opened = await geoJsonReader.open([chunked(memorySource('a.geojson', bytes), size)]);
          for (const layer of 'code' in opened ? [] : opened.layers)
            expect((await featuresOf(layer)).length).toBe(layer.count);
        },
      ),
      { numRuns: 400 },
    );
  });
});

describe.skipIf(!hasRealFiles)('real GeoJSON registers', () => {
  it('959 water nodes in US survey feet with their old crs member', async () => {
    const opened = await open(realSource('registers/ky4_junctions.geojson'));
    const features = await featuresOf(opened.layers[0]);
    expect(features).toHaveLength(959);
    expect(opened.crs?.epsg).toBe(3547);
    expect(opened.layers[0].columns.map(({ name }) => name)).toContain('elevation');
    expect(features[0].values).toContain(186.35158056);
    const eastings = features.map(({ geometry }) =>
      geometry?.type === 'point' ? geometry.position[0] : Number.NaN,
    );
    expect(Math.min(...eastings)).toBe(4942452.99);
    expect(Math.max(...eastings)).toBe(4993232.24);
  });

  it('12 town manholes whose third ordinate is a meaningless 0', async () => {
    const opened = await open(realSource('registers/vt_cavendish_points.geojson'));
    expect(opened.layers[0].count).toBe(12);
    expect(codes(opened)).toEqual(['flatThirdOrdinate']);
    expect(opened.units.horizontal).toBe('degree');
  });
});
