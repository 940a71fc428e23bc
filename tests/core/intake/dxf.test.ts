import { describe, expect, it } from 'vitest';
import { dxfReader } from '#core/intake/dxf.ts';
import type { OpenedFile, RawPosition } from '#core/intake/types.ts';
import type { Problem } from '#core/problem.ts';
import { layOutDesign, surfaceAt } from '#core/surface/design.ts';
import { planArea } from '#core/surface/triangles.ts';
import { allShots, memorySource } from '../../helpers/memorySource.ts';

/** Pairs of code and value as lines. */
const pairs = (...values: (string | number)[]) => `${values.map(String).join('\n')}\n`;
const header = (...variables: (string | number)[]) =>
  pairs(0, 'SECTION', 2, 'HEADER', ...variables, 0, 'ENDSEC');
const drawing = (entities: string, head = '') =>
  `${head}${pairs(0, 'SECTION', 2, 'ENTITIES')}${entities}${pairs(0, 'ENDSEC', 0, 'EOF')}`;
const metres = header(9, '$INSUNITS', 70, 6);
const at = (k: number, x: number, y: number, z: number) => pairs(10 + k, x, 20 + k, y, 30 + k, z);

async function open(content: string | Uint8Array, chunk?: number): Promise<OpenedFile> {
  const file = await dxfReader.open([memorySource(content, 'a.dxf', chunk)]);
  if ('message' in file) throw new Error(file.message);
  return file;
}
const refusal = async (content: string | Uint8Array) =>
  (await dxfReader.open([memorySource(content)])) as Problem;
const codes = (file: OpenedFile) => file.problems.map((p) => p.code);

const point = pairs(0, 'POINT', 5, '2F', 8, 'FG', 62, 3) + at(0, 10, 20, 5.25);

describe('a DXF file', () => {
  it('is known by its first section or its mark, else hoped for by its name', () => {
    const sure = (name: string, text: string) => dxfReader.recognises(name, new TextEncoder().encode(text));
    expect(sure('a', drawing(point))).toBe(1);
    expect(sure('a', `999\r\nmade by hand\r\n  0\r\nSECTION\r\n  2\r\n`)).toBe(1);
    expect(sure('a', '\uFEFF  0\nSECTION\n')).toBe(1);
    expect(sure('a', 'Some Binary DXF\r\n\u001a\0')).toBe(1);
    expect(sure('a.DXF', 'x')).toBe(0.4);
    expect(sure('a.txt', '1,2,3')).toBe(0);
  });

  it('gives points with their layer as code and their handle as name', async () => {
    const file = await open(drawing(point + pairs(0, 'POINT', 8, 'EP', 10, 1, 20, 2), metres));
    expect(file.points[0]).toMatchObject({ count: 2, sigmaUnit: null });
    expect(await allShots(file.points[0])).toEqual([
      { row: 16, point: '2F', easting: 10, northing: 20, elevation: 5.25, code: 'FG', sigma: null },
      { row: 30, point: '', easting: 1, northing: 2, elevation: Number.NaN, code: 'EP', sigma: null },
    ]);
  });

  it.each([
    [1, 'in'],
    [2, 'ft'],
    [4, 'mm'],
    [5, 'cm'],
    [6, 'm'],
    [21, 'us-ft'],
    [0, null],
  ])('$INSUNITS %i is %s', async (code, unit) => {
    const file = await open(drawing(point, header(9, '$ACADVER', 1, 'AC1015', 9, '$INSUNITS', 70, code)));
    expect(file.units).toEqual({ horizontal: unit, vertical: unit });
    expect(codes(file)).toEqual([]);
  });

  it('a unit that no survey is in is said; none at all is none', async () => {
    expect(codes(await open(drawing(point, header(9, '$INSUNITS', 70, 3))))).toEqual(['unknownUnit']);
    expect((await open(drawing(point))).units).toEqual({ horizontal: null, vertical: null });
  });

  it('gives faces as a surface a layer, equal corners once (case A11)', async () => {
    const face = (layer: string, ...corners: [number, number, number][]) =>
      pairs(0, '3DFACE', 8, layer) + corners.map((c, k) => at(k, ...c)).join('');
    const [a, b, c, d]: [number, number, number][] = [
      [0, 0, 100],
      [10, 0, 100.2],
      [0, 10, 100.4],
      [10, 10, 100.8],
    ];
    const text = drawing(
      face('TIN', a, b, c, c) + face('TIN', b, d, c) + face('OTHER', a, b, d, c) + face('TIN', a, a, b),
    );
    const file = await open(text);
    expect(file.tins.map((t) => [t.name, t.points.length / 3, t.faces.length / 3])).toEqual([
      ['TIN', 4, 2],
      ['OTHER', 4, 2],
    ]);
    expect(codes(file)).toEqual(['bentFaces', 'face']);
    const there = surfaceAt(layOutDesign(file.tins[0], 1), 5, 5);
    expect(there).toMatchObject({ elevation: expect.closeTo(100.3, 9) });
    expect(planArea(layOutDesign(file.tins[0], 1))).toBeCloseTo(100, 9);
  });

  it('a flat face of four corners is cut without a word; one that lacks corners is left out', async () => {
    const flat = pairs(0, '3DFACE') + at(0, 0, 0, 1) + at(1, 1, 0, 1) + at(2, 1, 1, 1) + at(3, 0, 1, 1);
    const lacking = pairs(0, '3DFACE', 10, 1, 20, 2) + at(1, 1, 0, 1) + at(2, 1, 1, 1);
    const file = await open(drawing(flat + lacking));
    expect(file.tins[0].faces).toHaveLength(6);
    expect(codes(file)).toEqual(['places']);
  });

  it('gives a polyface mesh as faces', async () => {
    const vertex = (...p: [number, number, number]) => pairs(0, 'VERTEX', 70, 192) + at(0, ...p);
    const corners = (...c: number[]) => pairs(0, 'VERTEX', 70, 128, ...c.flatMap((v, i) => [71 + i, v]));
    const mesh = (more: string) =>
      drawing(
        pairs(0, 'POLYLINE', 8, 'M', 70, 64) +
          vertex(0, 0, 1) +
          vertex(4, 0, 1) +
          vertex(4, 4, 1) +
          vertex(0, 4, 1) +
          more +
          pairs(0, 'SEQEND'),
      );
    const file = await open(mesh(corners(1, -2, 3) + corners(1, 3, 4)));
    expect([...file.tins[0].faces]).toEqual([0, 1, 2, 0, 2, 3]);
    expect(codes(file)).toEqual([]);
    expect(codes(await open(mesh(corners(1, 2, 9) + corners(1, 2) + corners(1, 2, 3))))).toEqual([
      'polyline',
    ]);
  });

  it('gives lines and polylines with their layer as role', async () => {
    const line = pairs(0, 'LINE', 8, 'CL') + at(0, 0, 0, 5) + at(1, 10, 0, 6);
    const open3d = pairs(0, 'POLYLINE', 8, 'EP', 70, 8) + at(0, 0, 0, 0);
    const vertices =
      pairs(0, 'VERTEX', 70, 32) +
      at(0, 1, 2, 3) +
      pairs(0, 'VERTEX') +
      at(0, 4, 5, 6) +
      pairs(0, 'VERTEX', 10, 7, 20, 8);
    const frame = pairs(0, 'VERTEX', 70, 16) + at(0, 99, 99, 99);
    const light = pairs(
      0,
      'LWPOLYLINE',
      8,
      'GU',
      90,
      3,
      70,
      1,
      38,
      12.5,
      10,
      0,
      20,
      0,
      10,
      1,
      20,
      0,
      10,
      1,
      20,
      1,
    );
    const old =
      pairs(0, 'POLYLINE', 8, 'P2', 30, 7) +
      pairs(0, 'VERTEX', 10, 0, 20, 0, 30, 99) +
      pairs(0, 'VERTEX', 10, 1, 20, 1);
    const file = await open(
      drawing(line + open3d + vertices + frame + pairs(0, 'SEQEND') + light + old + point),
    );
    expect(file.lines.map((l) => [l.role, l.positions])).toEqual([
      [
        'CL',
        [
          [0, 0, 5],
          [10, 0, 6],
        ],
      ],
      [
        'EP',
        [
          [1, 2, 3],
          [4, 5, 6],
          [7, 8, null],
        ],
      ],
      [
        'GU',
        [
          [0, 0, 12.5],
          [1, 0, 12.5],
          [1, 1, 12.5],
          [0, 0, 12.5],
        ],
      ],
      [
        'P2',
        [
          [0, 0, 7],
          [1, 1, 7],
        ],
      ],
    ]);
    expect(file.points[0].count).toBe(1);
  });

  it('a bulge is an arc within 5 mm, whatever the unit', async () => {
    // A bulge of 1 is a half circle to the left: from (0, 0) to (20, 0) it runs below, about (10, 0).
    const half = (units: string) =>
      open(drawing(pairs(0, 'LWPOLYLINE', 10, 0, 20, 0, 42, 1, 10, 20, 20, 0, 42, 0), units));
    const { positions } = (await half(metres)).lines[0];
    for (const [x, y] of positions) expect(Math.hypot(x - 10, y)).toBeCloseTo(10, 9);
    expect(Math.min(...positions.map((p) => p[1]))).toBeCloseTo(-10, 2);
    const step = Math.PI / (positions.length - 1);
    expect(10 * (1 - Math.cos(step / 2))).toBeLessThanOrEqual(0.005);
    const inMillimetres = (await half(header(9, '$INSUNITS', 70, 4))).lines[0].positions;
    expect(inMillimetres.length).toBeLessThan(positions.length);
    const right = await open(drawing(pairs(0, 'LWPOLYLINE', 10, 0, 20, 0, 42, -0.5, 10, 20, 20, 0), metres));
    expect(Math.max(...right.lines[0].positions.map((p) => p[1]))).toBeCloseTo(5, 2);
    const still = await open(drawing(pairs(0, 'LWPOLYLINE', 10, 3, 20, 4, 42, 1, 10, 3, 20, 4), metres));
    expect(still.lines[0].positions).toHaveLength(2);
  });

  it('an arc turns counter-clockwise', async () => {
    const arc = (...more: number[]) => pairs(0, 'ARC', 8, 'R') + at(0, 5, 5, 1) + pairs(40, 10, ...more);
    const { lines } = await open(drawing(arc(50, 0, 51, 90), metres));
    expect(lines[0].positions[0]).toEqual([15, 5, 1]);
    for (const [x, y] of lines[0].positions) {
      expect(Math.hypot(x - 5, y - 5)).toBeCloseTo(10, 9);
      expect(x >= 5 - 1e-9 && y >= 5 - 1e-9).toBe(true);
    }
    const none = await refusal(drawing(arc(50, 0)));
    expect(none.code).toBe('nothing');
  });

  it('a flat entity seen from below is mirrored, and a tilted one stands (arbitrary axis algorithm)', async () => {
    const light = (...normal: number[]) =>
      pairs(
        0,
        'LWPOLYLINE',
        38,
        2,
        10,
        1,
        20,
        0,
        10,
        3,
        20,
        4,
        210,
        normal[0],
        220,
        normal[1],
        230,
        normal[2],
      );
    const of = async (...normal: number[]) => (await open(drawing(light(...normal)))).lines[0].positions;
    expect(await of(0, 0, 1)).toEqual([
      [1, 0, 2],
      [3, 4, 2],
    ]);
    expect(await of(0, 0, 0)).toEqual([
      [1, 0, 2],
      [3, 4, 2],
    ]);
    const mirrored = await of(0, 0, -1);
    expect(mirrored[1]).toEqual([-3, 4, -2]);
    // Normal along x: right is y, up is z (published DXF reference).
    expect((await of(1, 0, 0))[1]).toEqual([2, 3, 4]);
    const noLevel = await open(drawing(pairs(0, 'LWPOLYLINE', 10, 1, 20, 0, 10, 3, 20, 4, 230, -1)));
    expect(noLevel.lines[0].positions[1]).toEqual([-3, 4, null]);
    const arc = await open(drawing(pairs(0, 'ARC', 10, 5, 20, 0, 30, 0, 40, 1, 50, 0, 51, 90, 230, -1)));
    expect((arc.lines[0].positions[0] as RawPosition)[0]).toBeCloseTo(-6, 12);
  });

  it('leaves paper space, blocks and what it does not read, and says how much', async () => {
    const paper = pairs(0, 'POINT', 67, 1) + at(0, 1, 1, 1);
    const text = pairs(0, 'TEXT', 1, 'hello', 10, 1, 20, 2);
    const block = pairs(
      0,
      'SECTION',
      2,
      'BLOCKS',
      0,
      'BLOCK',
      0,
      'POINT',
      10,
      7,
      20,
      7,
      0,
      'ENDBLK',
      0,
      'ENDSEC',
    );
    const file = await open(drawing(point + paper + text + text, metres + block));
    expect(file.points[0].count).toBe(1);
    expect(file.problems).toMatchObject([
      { code: 'ignored', column: 'TEXT', message: expect.stringContaining('2 in the file') },
    ]);
    const many = Array.from({ length: 150 }, (_, i) => pairs(0, `KIND${i}`)).join('');
    expect(codes(await open(drawing(point + many)))).toHaveLength(101);
  });

  it('bad numbers, lacking coordinates and short polylines leave out their entity', async () => {
    const file = await open(
      drawing(
        point +
          pairs(0, 'POINT', 10, '1,5', 20, 2) +
          pairs(0, 'POINT', 10, 1) +
          pairs(0, 'LINE', 10, 1, 20, 2) +
          pairs(0, 'LWPOLYLINE', 42, 1, 20, 3, 10, 1, 20, 2) +
          pairs(0, 'LWPOLYLINE', 10, 1, 10, 2, 20, 2) +
          pairs(0, 'POLYLINE', 70, 8, 0, 'VERTEX', 10, 'x', 0, 'SEQEND') +
          pairs(0, 'POLYLINE', 70, 16, 0, 'SEQEND'),
      ),
    );
    expect(codes(file)).toEqual([
      'notANumber',
      'places',
      'places',
      'polyline',
      'polyline',
      'notANumber',
      'polyline',
      'polyline',
    ]);
    expect(file.points[0].count).toBe(1);
    expect(file.lines).toEqual([]);
  });

  it('reads any line end, any chunks, and names in the code page or in UTF-8', async () => {
    const named = (text: string, name: string) => text.replace('FG', name);
    const head = (version: string) => header(9, '$ACADVER', 1, version, 9, '$DWGCODEPAGE', 3, 'ANSI_1250');
    const layer = async (bytes: Uint8Array, chunk?: number) =>
      (await allShots((await open(bytes, chunk)).points[0]))[0].code;
    const text = drawing(point, head('AC1015'));
    for (const end of ['\r\n', '\r'])
      expect(await layer(Buffer.from(text.replaceAll('\n', end)), 1)).toBe('FG');
    const eastern = Buffer.from(named(text, 'X'), 'latin1');
    eastern[eastern.lastIndexOf('X')] = 0xa3;
    expect(await layer(eastern)).toBe('\u0141');
    expect(await layer(Buffer.from(named(drawing(point, head('AC1027')), 'Bordüre')))).toBe('Bordüre');
    expect(await layer(Buffer.from(named(text, 'Bord\\U+00FCre')))).toBe('Bordüre');
    const japanese = drawing(point, header(9, '$DWGCODEPAGE', 3, 'ANSI_932'));
    const bytes = Buffer.from(named(japanese, 'XY'), 'latin1');
    bytes.set([0x93, 0xb9], bytes.lastIndexOf('XY'));
    expect(await layer(bytes)).toBe('道');
  });

  it('damage is one problem: no group code, no end, no section, nothing, binary', async () => {
    expect(await refusal(drawing(`${point}abc\n1\n`))).toMatchObject({
      code: 'notAGroupCode',
      row: 19,
      value: 'abc',
    });
    expect(await refusal('hello\nworld\n')).toMatchObject({ code: 'notAGroupCode', row: 1 });
    expect(await refusal('0\nLINE\n')).toMatchObject({ code: 'notDxf', row: 2 });
    expect(await refusal('0\nEOF\n')).toMatchObject({ code: 'notDxf' });
    expect(await refusal('')).toMatchObject({ code: 'notDxf' });
    expect(await refusal(drawing(''))).toMatchObject({ code: 'nothing' });
    expect(await refusal('Drawing Binary DXF\r\n\u001a\0')).toMatchObject({ code: 'binaryDxf' });
    const cut = drawing(point).replace('0\nENDSEC\n0\nEOF\n', '');
    expect(codes(await open(cut))).toEqual(['cutOff']);
    expect((await open(`${cut}0\nENDSEC\n0\nEOF`)).problems).toEqual([]);
    expect(codes(await open(`${drawing(point)}trailing`))).toEqual([]);
  });

  it('blank lines after the end are nothing', async () => {
    expect(codes(await open(`${drawing(point)}\n\n`))).toEqual([]);
  });
});
