import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { landXmlReader } from '#core/intake/landXml.ts';
import type { OpenedFile } from '#core/intake/types.ts';
import type { Problem } from '#core/problem.ts';
import { layOutDesign, surfaceAt } from '#core/surface/design.ts';
import { planArea } from '#core/surface/triangles.ts';
import { latticeLandXml } from '../../helpers/landXmlFile.ts';
import { allShots, memorySource } from '../../helpers/memorySource.ts';
import { haveRealFiles, realFile, realFilesTitle } from '../../helpers/realFiles.ts';

const street = readFileSync(new URL('../../fixtures/intake/street.xml', import.meta.url), 'utf8');

async function open(content: string | Uint8Array, chunk?: number): Promise<OpenedFile> {
  const file = await landXmlReader.open([memorySource(content, 'street.xml', chunk)]);
  if ('message' in file) throw new Error(file.message);
  return file;
}

async function refusal(content: string | Uint8Array): Promise<Problem> {
  return (await landXmlReader.open([memorySource(content)])) as Problem;
}

/** A file of metres with this inside. */
const wrap = (inside: string, units = '<Metric linearUnit="meter"/>') =>
  `<LandXML xmlns="http://www.landxml.org/schema/LandXML-1.2"><Units>${units}</Units>${inside}</LandXML>`;

const messages = (file: OpenedFile) =>
  file.problems.map((p) => `${p.row ?? '-'} ${p.code} ${p.value ?? '-'}`);

describe('a LandXML file', () => {
  it('is known by its outermost element, whatever its prefix, encoding and name', () => {
    const head = (text: string) => landXmlReader.recognises('a.xml', new TextEncoder().encode(text));
    expect(head(street)).toBe(1);
    expect(head('<?xml version="1.0"?><LandXML>')).toBe(1);
    expect(head('\uFEFF  <LandXML>')).toBe(1);
    expect(head('<kml>')).toBe(0.4);
    expect(head('PNT,1,2')).toBe(0);
    expect(landXmlReader.recognises('a.bin', new TextEncoder().encode('<x/>'))).toBe(0.1);
    const wide = new Uint8Array(Buffer.from('\uFEFF<LandXML>', 'utf16le'));
    expect(landXmlReader.recognises('a', wide)).toBe(1);
  });

  it('states its units and its system', async () => {
    const { units, crs } = await open(street);
    expect(units).toEqual({ horizontal: 'us-ft', vertical: 'us-ft' });
    expect(crs).toEqual({ epsg: 2264, text: 'Invented grid', from: 'CoordinateSystem element' });
  });

  it('gives points north first, with codes or descriptions, a blank elevation and points taken from others', async () => {
    const { points } = await open(street);
    const shots = await allShots(points[0]);
    expect(points[0]).toMatchObject({ name: 'CgPoints', count: 5, sigmaUnit: null });
    expect(shots.map((s) => [s.point, s.northing, s.easting, s.elevation, s.code])).toEqual([
      ['101', 1000, 500, 210.25, 'CL'],
      ['102', 1000.5, 512, 209.95, 'edge of pavement, north side'],
      ['7', 1001, 513, Number.NaN, ''],
      ['103', 1000, 500, 210.25, ''],
      ['106', 998, 480, 209.1, 'GU'],
    ]);
    expect(shots[0].row).toBe(8);
    expect(points[1].name).toBe('finished data points');
    expect(await allShots(points[1])).toMatchObject([
      { northing: 0, easting: 0 },
      { easting: 20, elevation: 10.4 },
    ]);
  });

  it('gives faces whose points follow them, leaves invisible ones out and names what is missing', async () => {
    const file = await open(street);
    const [tin] = file.tins;
    expect(tin.name).toBe('finished');
    expect(tin.invisible).toBe(1);
    expect([...tin.faces]).toEqual([0, 1, 2, 0, 2, 3]);
    expect([...tin.points.slice(0, 6)]).toEqual([0, 0, 10, 20, 0, 10.4]);
    expect(messages(file)).toEqual([
      '13 point 10x',
      '36 face 10 20',
      '44 duplicateId 20',
      '45 point 1 2',
      '46 point -',
      '34 face 77',
      '35 face -',
      '60 notANumber n/a',
      '61 place here',
      '- ignored p1',
      '12 point nowhere',
      '61 noPlace 13',
    ]);
  });

  it('gives source lines with their roles', async () => {
    const { lines } = await open(street);
    expect(lines.map((l) => [l.role, l.name, l.positions.length, l.positions[1]])).toEqual([
      ['breakline', 'crown', 2, [10, 20, 10.6]],
      ['boundary', 'outer', 5, [20, 0, null]],
      ['contour', 'finished', 2, [2, 2, 10.5]],
    ]);
  });

  it('gives structures as a layer, ids as text', async () => {
    const { layers } = await open(street);
    const [layer] = layers;
    const rows = [];
    for await (const batch of layer.features()) rows.push(...batch);
    expect(layer.columns.map((c) => c.name)).toContain('structure_diameter_in');
    expect(rows.map((r) => r.values)).toEqual([
      [
        '0012',
        210.1,
        204.5,
        205.2,
        'inlet at the corner',
        'Storm A',
        'storm',
        'CircStruct',
        'concrete',
        48,
        null,
        null,
      ],
      ['12', null, null, null, '', 'Storm A', 'storm', 'RectStruct', '', null, 36, 24],
      ['13', null, null, null, '', 'Storm A', 'storm', '', '', null, null, null],
    ]);
    expect(rows.map((r) => r.geometry)).toEqual([
      { type: 'point', position: [505.5, 1000.25, null] },
      { type: 'point', position: [512, 1000.5, 209.95] },
      null,
    ]);
  });

  it('reads the same a byte at a time, in UTF-16, in Latin 1 and without a prefix', async () => {
    const plain = await open(street);
    const same = (file: OpenedFile) => {
      expect(file.tins).toEqual(plain.tins);
      expect(file.lines).toEqual(plain.lines);
      expect(file.problems).toEqual(plain.problems);
    };
    same(await open(street, 1));
    same(await open(new Uint8Array(Buffer.from(`\uFEFF${street}`, 'utf16le'))));
    same(await open(new Uint8Array(Buffer.from(`\uFEFF${street}`, 'utf16le').swap16())));
    same(await open(street.replaceAll('lx:', '').replaceAll(':lx', '')));
    const latin = street.replace('UTF-8', 'ISO-8859-1').replace('"crown"', '"Chaussée"');
    const file = await open(new Uint8Array(Buffer.from(latin, 'latin1')));
    expect(file.lines[0].name).toBe('Chaussée');
    expect((await open(street.replace('encoding="UTF-8"', 'encoding="UTF-16"'))).tins).toEqual(plain.tins);
  });
});

describe('units and systems', () => {
  const unit = async (units: string) =>
    await open(wrap('<CgPoints><CgPoint>1 2 3</CgPoint></CgPoints>', units));

  it.each([
    ['<Metric linearUnit="meter"/>', 'm', 'm'],
    ['<Metric linearUnit="millimeter" elevationUnit="meter"/>', 'mm', 'mm'],
    ['<Imperial linearUnit="foot" elevationUnit="feet"/>', 'ft', 'ft'],
    ['<Imperial linearUnit="inch"/>', 'in', 'in'],
    ['<Imperial linearUnit="USSurveyFoot" elevationUnit="meter"/>', 'us-ft', null],
    ['<Metric linearUnit="meter" elevationUnit="feet"/>', 'm', null],
    ['<Imperial linearUnit="mile"/>', null, null],
    ['<Imperial/>', null, null],
    ['', null, null],
  ])('%s', async (text, horizontal, vertical) => {
    expect((await unit(text)).units).toEqual({ horizontal, vertical });
  });

  it('a contradiction and an unknown unit are said', async () => {
    expect(messages(await unit('<Imperial linearUnit="foot" elevationUnit="meter"/>'))).toEqual([
      '1 unitsDisagree meter',
    ]);
    expect(messages(await unit('<Imperial linearUnit="mile"/>'))).toEqual(['1 unknownUnit mile']);
  });

  it.each([
    ['epsgCode="EPSG:2264"', 2264, 'EPSG:2264'],
    ['ogcWktCode="26917" desc="x"', 26917, '26917'],
    [
      `ogcWktCode='PROJCS["a",GEOGCS["b",AUTHORITY["EPSG","4269"]],AUTHORITY["EPSG","2264"]]'`,
      2264,
      'PROJCS["a",GEOGCS["b",AUTHORITY["EPSG","4269"]],AUTHORITY["EPSG","2264"]]',
    ],
    ['horizontalCoordinateSystemName="Town grid"', null, 'Town grid'],
  ])('%s', async (attributes, epsg, text) => {
    const file = await open(
      wrap(`<CoordinateSystem ${attributes}/><CgPoints><CgPoint>1 2</CgPoint></CgPoints>`),
    );
    expect(file.crs).toMatchObject({ epsg, text });
  });

  it('an empty CoordinateSystem says nothing', async () => {
    expect((await open(wrap('<CoordinateSystem desc=""/><CgPoint>1 2</CgPoint>'))).crs).toBeNull();
  });
});

describe('surfaces', () => {
  const surface = (pnts: string, faces: string) =>
    wrap(
      `<Surfaces><Surface name="s"><Definition surfType="TIN"><Pnts>${pnts}</Pnts><Faces>${faces}</Faces></Definition></Surface></Surfaces>`,
    );

  it('invisible faces and the order of P: grade, elevation, the hole beyond, area (case A3)', async () => {
    const p = ['0 0 10.00', '0 20 10.40', '20 20 10.80', '20 0 10.40', '40 10 30.00'];
    const pnts = p.map((text, i) => `<P id="${i + 1}">${text}</P>`).join('');
    const { tins } = await open(surface(pnts, '<F>1 2 3</F><F>1 3 4</F><F i="1">4 3 5</F>'));
    const design = layOutDesign(tins[0], 1);
    const at = surfaceAt(design, 10, 10);
    if ('reason' in at) throw new Error(at.reason);
    expect(at.elevation).toBeCloseTo(10.4, 12);
    expect(at.gradients).toHaveLength(1);
    expect(100 * Math.hypot(...at.gradients[0])).toBeCloseTo(2.8284, 4);
    expect(surfaceAt(design, 10, 25)).toEqual({
      reason: 'noDesign',
      detail: 'the place lies outside the surface',
    });
    expect(planArea(design)).toBeCloseTo(400, 9);
  });

  it('a near-collinear face stays a face (case A12)', async () => {
    const pnts = '<P id="1">0 0 1</P><P id="2">0 1000 1</P><P id="3">40 2000 2</P>';
    const { tins } = await open(surface(pnts, '<F>1 2 3</F>'));
    expect(planArea(layOutDesign(tins[0], 1))).toBeCloseTo(20000, 6);
  });

  it('a face of four points is cut in two, and that is said', async () => {
    const pnts = [...'1234'].map((i) => `<P id="${i}">${Number(i) ** 2} ${i} 1</P>`).join('');
    const file = await open(surface(pnts, '<F>1 2 3 4</F><F>1 2 3 4 1</F>'));
    expect([...file.tins[0].faces]).toEqual([0, 1, 2, 0, 2, 3]);
    expect(file.problems.map((p) => p.code)).toEqual(['face', 'quads']);
  });

  it('ids that look alike are different ids', async () => {
    const pnts = '<P id="7">0 0 1</P><P id="07">0 9 1</P><P id="0000000007">9 0 1</P><P id="-7">9 9 1</P>';
    const { tins } = await open(surface(pnts, '<F>7 07 0000000007</F><F>07 -7 0000000007</F>'));
    expect(tins[0].faces).toHaveLength(6);
  });

  it('points without faces are points, and an empty surface says so', async () => {
    const file = await open(surface('<P id="1">5 6 7</P>', ''));
    expect(file.tins).toEqual([]);
    expect(await allShots(file.points[0])).toMatchObject([{ northing: 5, easting: 6, elevation: 7 }]);
    expect(messages(file)).toEqual(['1 noFaces -']);
    expect(await refusal(surface('', ''))).toMatchObject({ code: 'nothing' });
  });

  it('missing points are named, up to a few, and counted past a thousand', async () => {
    const faces = Array.from({ length: 1100 }, (_, i) => `<F>${i} a b</F>`).join('');
    const file = await open(surface('<P id="1">5 6 7</P>', faces));
    expect(file.problems).toHaveLength(1001);
    expect(file.problems[0].value).toBe('0');
    expect(file.problems[1000].code).toBe('more');
  });

  it('broken lists are left out and said', async () => {
    const file = await open(
      wrap(
        '<CgPoint>1 2</CgPoint><Surface name="s"><Breakline><PntList3D>1 2 3 4</PntList3D></Breakline>' +
          '<Breakline><PntList3D>1 2 x</PntList3D></Breakline><Breakline><PntList2D>1 2</PntList2D></Breakline>' +
          '<DataPoints><PntList2D>1 2</PntList2D></DataPoints><PntList2D>1 2</PntList2D></Surface>',
      ),
    );
    expect(file.lines).toEqual([]);
    expect(file.problems.map((p) => p.code)).toEqual(['places', 'places', 'noFaces']);
  });

  it('a large lattice keeps every face, whatever its size', async () => {
    const text = [...latticeLandXml(60)].join('');
    const { tins, problems } = await open(text, 4096);
    expect(tins[0].faces.length / 3).toBe(2 * 59 * 59);
    expect(planArea(layOutDesign(tins[0], 1))).toBeCloseTo((59 * 2.5) ** 2, 4);
    expect(problems).toEqual([]);
  });
});

describe.skipIf(!haveRealFiles)(realFilesTitle('real LandXML files'), () => {
  const openReal = async (name: string) => open(readFileSync(realFile(`landxml/${name}`)));

  it.each([
    ['abrman_S1.xml', 17, 24, 3031369.1208],
    ['abrman_S3.xml', 164, 300, 3031776.1184],
  ])('%s', async (name, points, faces, area) => {
    const { tins, units, crs } = await openReal(name);
    expect([tins[0].points.length / 3, tins[0].faces.length / 3]).toEqual([points, faces]);
    expect(planArea(layOutDesign(tins[0], 1))).toBeCloseTo(area, 4);
    expect([units.horizontal, units.vertical, crs]).toEqual(['us-ft', 'us-ft', null]);
  });

  it('a vertex of eight faces has one elevation and several grades', async () => {
    const { tins } = await openReal('abrman_S1.xml');
    const at = surfaceAt(layOutDesign(tins[0], 1), 835560, 1068540);
    if ('reason' in at) throw new Error(at.reason);
    expect(at.elevation).toBeCloseTo(526.013977, 6);
    const percents = at.gradients.map((g) => (100 * Math.hypot(...g)).toFixed(2));
    expect(at.gradients).toHaveLength(8);
    expect(percents).toEqual(expect.arrayContaining(['10.76', '14.44', '12.01']));
  });

  it('an alignment alone is a centre line of the stated length, and there is said to be no surface', async () => {
    const { tins, lines, problems, units } = await openReal('landxml_road_sample.xml');
    expect(tins).toEqual([]);
    expect(units.horizontal).toBe('ft');
    expect(lines).toHaveLength(1);
    const { name, role, positions } = lines[0];
    expect([name, role]).toEqual(['Main Road', 'alignment']);
    let length = 0;
    for (let i = 1; i < positions.length; i++)
      length += Math.hypot(positions[i][0] - positions[i - 1][0], positions[i][1] - positions[i - 1][1]);
    expect(length).toBeLessThan(2455.497573);
    expect(length).toBeGreaterThan(2455.48);
    expect(problems.map((p) => p.code)).toEqual(['ignored', 'noSurface']);
    expect(problems[1].message).toContain('no surface');
  });
});
