import { describe, expect, it } from 'vitest';
import { arcPoints, centreOf, clothoidPoints } from '#core/intake/arcs.ts';
import { landXmlReader } from '#core/intake/landXml.ts';
import type { OpenedFile, RawPosition } from '#core/intake/types.ts';
import { memorySource } from '../../helpers/memorySource.ts';

async function trace(geometry: string, more = ''): Promise<OpenedFile> {
  const text = `<LandXML><Units><Metric linearUnit="meter"/></Units>${more}<Alignments><Alignment name="A"><CoordGeom>${geometry}</CoordGeom></Alignment></Alignments></LandXML>`;
  return (await landXmlReader.open([memorySource(text)])) as OpenedFile;
}

const ends = (start: string, end: string, more = '') => `<Start>${start}</Start><End>${end}</End>${more}`;
const codes = (file: OpenedFile) => file.problems.map((p) => p.code);

/** Greatest distance of the middles of chords from a circle about (0, 0). */
const sagitta = (positions: readonly RawPosition[], radius: number) =>
  Math.max(
    ...positions
      .slice(1)
      .map(([x, y], i) => radius - Math.hypot((x + positions[i][0]) / 2, (y + positions[i][1]) / 2)),
  );

describe('curves of an alignment', () => {
  it('a quarter circle about its centre stays within 5 mm of it', async () => {
    const file = await trace(
      `<Curve rot="cw" radius="100">${ends('100 0', '0 100', '<Center>0 0</Center>')}</Curve>`,
    );
    const { positions } = file.lines[0];
    expect(positions[0]).toEqual([0, 100, null]);
    expect(positions.at(-1)).toEqual([100, 0, null]);
    for (const [x, y] of positions) expect(Math.hypot(x, y)).toBeCloseTo(100, 9);
    expect(sagitta(positions, 100)).toBeLessThanOrEqual(0.005);
    // North to east is a turn to the right about the origin: every point lies in the first quarter.
    expect(positions.every(([x, y]) => x >= 0 && y >= 0)).toBe(true);
  });

  it('the other turn goes the long way round', async () => {
    const file = await trace(
      `<Curve rot="ccw" radius="100">${ends('100 0', '0 100', '<Center>0 0</Center>')}</Curve>`,
    );
    expect(Math.min(...file.lines[0].positions.map(([x]) => x))).toBeLessThan(-99.9);
  });

  it.each([
    ['cw', 'length="157"', true],
    ['ccw', 'length="471"', false],
  ])('without a centre it is found from the radius, turn %s and %s', async (rot, length, near) => {
    const file = await trace(`<Curve rot="${rot}" radius="100" ${length}>${ends('100 0', '0 100')}</Curve>`);
    const { positions } = file.lines[0];
    for (const [x, y] of positions) expect(Math.hypot(x, y)).toBeCloseTo(100, 6);
    expect(positions.every(([x, y]) => x >= -1e-9 && y >= -1e-9)).toBe(near);
  });

  it('elevations rise evenly along it', async () => {
    const file = await trace(
      `<Curve rot="cw" radius="10">${ends('10 0 5', '0 10 6', '<Center>0 0</Center>')}</Curve>`,
    );
    const { positions } = file.lines[0];
    expect(positions.map((p) => p[2])).toEqual(positions.map((_, i) => 5 + i / (positions.length - 1)));
  });

  it.each([
    ['<Curve radius="10">', 'no turn'],
    ['<Curve rot="cw">', 'no radius and no centre'],
    ['<Curve rot="cw" radius="3">', 'a radius that does not reach'],
  ])('%s (%s) keeps its ends and says so', async (tag) => {
    const file = await trace(`${tag}${ends('10 0', '0 10')}</Curve>`);
    expect(file.lines[0].positions).toEqual([
      [0, 10, null],
      [10, 0, null],
    ]);
    expect(codes(file)).toContain('course');
  });

  it('ends that disagree with the centre are kept, and the difference is said', async () => {
    const file = await trace(
      `<Curve rot="cw" radius="100">${ends('100 0', '0 101', '<Center>0 0</Center>')}</Curve>`,
    );
    expect(file.lines[0].positions.at(-1)).toEqual([101, 0, null]);
    expect(codes(file)).toContain('course');
  });

  it('a full circle turns once round', () => {
    const points = arcPoints({ start: [1, 0], end: [1, 0], centre: [0, 0], counterClockwise: false }, 0.01);
    expect(points.length).toBeGreaterThan(8);
    expect(points[1][1]).toBeLessThan(0);
    expect(
      arcPoints({ start: [1, 0], end: [1, 0], centre: [0, 0], counterClockwise: true }, 0.01)[1][1],
    ).toBeGreaterThan(0);
  });

  it('a radius smaller than the tolerance still turns, and one without end is cut into a bounded number of chords', () => {
    expect(
      arcPoints({ start: [1e-3, 0], end: [-1e-3, 0], centre: [0, 0], counterClockwise: true }, 0.005),
    ).toHaveLength(1);
    const far = { start: [1e12, 0], end: [0, 1e12], centre: [0, 0], counterClockwise: true } as const;
    expect(arcPoints(far, 1e-9)).toHaveLength(10_000);
  });

  it('the centre of a half circle is its middle', () => {
    expect(centreOf([0, 0], [2, 0], { radius: 1, counterClockwise: true, major: false })).toEqual([1, 0]);
  });
});

describe('spirals', () => {
  // Fresnel integrals C(1) = 0.7798934, S(1) = 0.4382591 (Abramowitz & Stegun, Handbook of Mathematical Functions,
  // table 7.7, argument 1). A clothoid of curvature pi s over length 1 ends there.
  const end = [0.7798934003768228, 0.4382591473903548] as const;

  it('a clothoid ends where the Fresnel integrals say', () => {
    const points = clothoidPoints({ start: [0, 0], end, curvature: [0, Math.PI], length: 1 }, 1.003e-6);
    expect(points?.at(-1)).toEqual(end);
    // Half way along, C(0.5) = 0.4923442 and S(0.5) = 0.0647324 (same table).
    const middle = points?.[points.length / 2 - 1] as readonly [number, number];
    expect(middle[0]).toBeCloseTo(0.4923442, 6);
    expect(middle[1]).toBeCloseTo(0.0647324, 6);
  });

  it('a shape that does not reach is null', () => {
    expect(
      clothoidPoints({ start: [0, 0], end: [1, 1], curvature: [0, Math.PI], length: 1 }, 1e-6),
    ).toBeNull();
    expect(
      clothoidPoints({ start: [0, 0], end: [Number.NaN, 1], curvature: [0, 1], length: 1 }, 1e-6),
    ).toBeNull();
  });

  // The same clothoid 100 m long: radius 100 / pi at its end, turning left from east.
  const northEast = `${100 * end[1]} ${100 * end[0]}`;
  const spiral = (attributes: string, corner = '<PI>0 50</PI>') =>
    trace(`<Spiral length="100" ${attributes}>${ends('0 0', northEast, corner)}</Spiral>`);

  it('is drawn as chords', async () => {
    const file = await spiral(`radiusStart="INF" radiusEnd="${100 / Math.PI}" rot="ccw" spiType="clothoid"`);
    expect(codes(file)).toEqual(['noSurface']);
    expect(file.lines[0].positions.length).toBeGreaterThan(50);
    expect(
      (await spiral(`radiusStart="INF" radiusEnd="${100 / Math.PI}" rot="ccw"`, '')).lines[0].positions
        .length,
    ).toBeGreaterThan(50);
  });

  it.each([
    `radiusStart="INF" radiusEnd="${100 / Math.PI}" rot="cw" spiType="clothoid"`,
    `radiusStart="INF" radiusEnd="20" rot="ccw" spiType="clothoid"`,
    'radiusStart="INF" radiusEnd="INF" rot="ccw"',
    'radiusEnd="30" rot="ccw"',
    'radiusStart="INF" radiusEnd="-3" rot="ccw"',
    'radiusStart="INF" radiusEnd="30"',
    `radiusStart="INF" radiusEnd="${100 / Math.PI}" rot="ccw" spiType="bloss"`,
  ])('%s keeps its ends and says so', async (attributes) => {
    const file = await spiral(attributes);
    expect(file.lines[0].positions).toHaveLength(2);
    expect(codes(file)).toEqual(['course', 'noSurface']);
  });
});

describe('lines of an alignment', () => {
  it('follow on one another, and part where they do not', async () => {
    const line = (a: string, b: string) => `<Line>${ends(a, b)}</Line>`;
    const file = await trace(line('0 0', '0 10') + line('0 10', '0 20') + line('5 20', '5 30'));
    expect(file.lines.map((l) => l.positions.length)).toEqual([3, 2]);
    expect(codes(file)).toEqual(['gap', 'noSurface']);
  });

  it('irregular lines, chains and named points are followed', async () => {
    const points =
      '<CgPoint name="a">0 0 1</CgPoint><CgPoint name="b">0 9</CgPoint><CgPoint name="loop" pntRef="loop"/>';
    const irregular = `<IrregularLine><Start pntRef="a"/><End pntRef="b"/><PntList2D>0 0 1 4 0 9</PntList2D></IrregularLine>`;
    const file = await trace(irregular, points);
    expect(file.lines[0].positions).toEqual([
      [0, 0, 1],
      [4, 1, null],
      [9, 0, null],
    ]);
    const chain = await trace('<Chain>a b lost loop</Chain>', points);
    expect(chain.lines[0].positions).toEqual([
      [0, 0, 1],
      [9, 0, null],
    ]);
    expect(codes(chain).filter((c) => c === 'course')).toHaveLength(2);
    const deep = await trace(
      `<IrregularLine>${ends('0 0 1', '0 9 2')}<PntList3D>0 0 1 1 4 3</PntList3D></IrregularLine>`,
    );
    expect(deep.lines[0].positions).toEqual([
      [0, 0, 1],
      [4, 1, 3],
      [9, 0, 2],
    ]);
  });

  it('pieces that lack an end are left out and said', async () => {
    const file = await trace(
      '<Line><Start>0 0</Start></Line><Line><Start>0 0</Start><End>x</End></Line><Line><Start pntRef="q"/><End>1 1</End></Line>' +
        `<IrregularLine>${ends('0 0', '1 1')}<PntList2D>1 2 3</PntList2D></IrregularLine>`,
    );
    expect(file.lines).toHaveLength(1);
    expect(codes(file).filter((c) => c === 'places')).toHaveLength(2);
    expect(codes(file).filter((c) => c === 'course')).toHaveLength(3);
  });

  it('a plan feature is a line; an alignment without geometry is said', async () => {
    const text = `<LandXML><PlanFeatures><PlanFeature name="gutter"><CoordGeom><Line>${ends('0 0', '0 5')}</Line></CoordGeom></PlanFeature></PlanFeatures><Alignment name="B"><AlignPIs><AlignPI/></AlignPIs></Alignment></LandXML>`;
    const file = (await landXmlReader.open([memorySource(text)])) as OpenedFile;
    expect(file.lines).toMatchObject([{ name: 'gutter', role: 'line' }]);
    expect(codes(file)).toEqual(['noGeometry', 'noSurface']);
  });
});
