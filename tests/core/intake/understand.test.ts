import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { makeProjection } from '#core/crs/crs.ts';
import { openDelimited } from '#core/intake/delimited.ts';
import { understand } from '#core/intake/understand.ts';
import type { Said, Understanding } from '#core/intake/understanding.ts';
import { findCrs } from '../../../server/crs/epsg.ts';
import { crsLookup } from '../../../server/intake/lookup.ts';
import { opened, textFile, understood } from '../../helpers/textFile.ts';

function system(code: number) {
  const crs = findCrs(`EPSG:${code}`);
  if ('message' in crs) throw new Error(crs.message);
  return crs;
}

const inCarolina: Said = { crs: system(2264) };
const codes = (list: readonly { code: string }[]) => list.map(({ code }) => code);
const question = ({ questions }: Understanding, code: string) => questions.find((q) => q.code === code);

describe('shots', () => {
  it('A1 reads PNEZD, shows both readings and where each lands', async () => {
    const text = '1,560960.147,1431944.944,740.485,EP\n2,560954.573,1431951.829,740.723,CL\n';
    const result = await understood(text, inCarolina);
    expect(result).toMatchObject({
      format: 'delimited',
      kind: 'shots',
      count: 2,
      crs: { code: 'EPSG:2264', from: 'given' },
    });
    expect(result.sample[0]).toMatchObject({
      point: '1',
      northing: 560960.147,
      easting: 1431944.944,
      elevation: 740.485,
      code: 'EP',
    });
    const order = question(result, 'axisOrder');
    expect(order?.likely).toBe('asRead');
    expect(order?.choices.map(({ id, inside }) => [id, inside])).toEqual([
      ['asRead', true],
      ['swapped', false],
    ]);
    expect(order?.choices[0].lands?.lat).toBeCloseTo(35.3, 0);
    expect(codes(result.problems)).not.toContain('axesSwapped');
  });

  it('A1 without a system reads 1217.64 as the northing and asks', async () => {
    const result = await understood('1,1217.64,843.25,257.29,MH\n');
    expect(result.sample[0]).toMatchObject({ northing: 1217.64, easting: 843.25, elevation: 257.29 });
    expect(question(result, 'axisOrder')?.choices.map(({ example }) => example)).toEqual([
      { northing: 1217.64, easting: 843.25 },
      { northing: 843.25, easting: 1217.64 },
    ]);
    expect(result.crs).toBeNull();
    expect(codes(result.questions)).toEqual(['crs', 'horizontalUnit', 'axisOrder', 'verticalUnit']);
  });

  it.each([
    ['PENZD without headings', '1,1431944.944,560960.147,740.485,EP\n'],
    [
      'headings that were exchanged',
      'point,northing,easting,elevation,code\n1,1431944.944,560960.147,740.485,EP\n',
    ],
  ])('A1 warns of %s, where only the exchanged reading lands inside the area', async (_, text) => {
    const result = await understood(text, inCarolina);
    expect(codes(result.problems)).toContain('axesSwapped');
    expect(result.sample[0]).toMatchObject({ northing: 560960.147, easting: 1431944.944 });
    expect(question(result, 'axisOrder')?.likely).toBe('swapped');
    const answered = await understood(text, { ...inCarolina, axes: 'swapped' });
    expect(codes(answered.problems)).not.toContain('outsideArea');
    expect(question(answered, 'axisOrder')).toBeUndefined();
    expect(answered.sample[0]).toMatchObject({ northing: 560960.147 });
  });

  it('A1 holds the readings against the project where its area is known', async () => {
    // Both readings lie in the zone; only one lies in the project.
    const said: Said = {
      crs: system(32633),
      projectArea: { west: 15.2, east: 15.4, south: 4.9, north: 5.1 },
    };
    const text = '1,526000,553000,100,CL\n';
    const swapped = await understood(
      '1,526000,553000,100,CL\n'.replace('526000,553000', '553000,526000'),
      said,
    );
    const asRead = await understood(text, said);
    expect([
      codes(asRead.problems).includes('axesSwapped'),
      codes(swapped.problems).includes('axesSwapped'),
    ]).toEqual([true, false]);
  });

  it('A2 the foot is that of the system: 2 200 000 US survey feet are 670561.3411 m, 1.3411 m more than by 0.3048', async () => {
    const result = await understood('1,560000.000,2200000.000,1000,CL\n', inCarolina);
    expect(result.units.horizontal).toEqual({ unit: 'us-ft', from: 'crs' });
    const unknown = question(await understood('1,560000.000,2200000.000,1000,CL\n'), 'horizontalUnit');
    const metres = Object.fromEntries(
      unknown!.choices.map(({ id, example }) => [id, example?.farthestM as number]),
    );
    expect(metres['us-ft']).toBeCloseTo(670561.3411, 4);
    expect(metres['us-ft'] - metres.ft).toBeCloseTo(1.3411, 4);
    expect(unknown?.text).toContain('4.400 ft');
  });

  it('asks which foot when a heading says one and the system counts in the other', async () => {
    const text = 'point,northing_us-ft,easting_us-ft,elevation_ft\n1,3527302.73,2054436.57,4200\n';
    const result = await understood(text, { crs: system(2921) });
    expect(question(result, 'whichFoot')?.likely).toBe('us-ft');
    expect(question(result, 'verticalUnit')).toBeUndefined();
    expect(result.units.vertical).toEqual({ unit: 'ft', from: 'heading' });
  });

  it('A8 A9 sets sentinels and false zeros aside by their neighbourhood', async () => {
    const rows = (...z: string[]) =>
      z.map((v, i) => `${i + 1},${560000 + (i % 3)},${1430000 + i * i},${v},CL`).join('\n');
    const holes = await understood(rows('100.00', '100.10', '100.20', '0.000', '-999'), inCarolina);
    expect(holes.problems.filter(({ code }) => ['sentinel', 'falseZero'].includes(code))).toMatchObject([
      { code: 'sentinel', row: 5 },
      { code: 'falseZero', row: 4 },
    ]);
    const waterfront = await understood(rows('0.42', '0.00', '-0.31', '0.10'), inCarolina);
    expect(codes(waterfront.problems)).toEqual([]);
    expect(waterfront.bounds).toMatchObject({ minElevation: -0.31, maxElevation: 0.42 });
  });

  it('finds a false elevation far behind the shots that are checked in full, and says what was not checked', async () => {
    const line = (i: number, z: string) =>
      `${i},${560000 + (i % 700)},${1430000 + Math.floor(i / 700)},${z},CL`;
    const rows = Array.from({ length: 250_000 }, (_, i) => line(i, i === 240_000 ? '-999' : '740.25'));
    const result = await understood(rows.join('\n'), inCarolina);
    expect(result.count).toBe(250_000);
    expect(result.problems).toMatchObject([
      { code: 'notSearched' },
      { code: 'sentinel', row: 240_001 },
      { code: 'notAllChecked' },
    ]);
  });

  it('A13 names two shots at one place', async () => {
    const result = await understood('1,5,5,10.20,CL\n2,5,5,10.22,CL\n3,0,0,10.2,CL\n4,9,0,10.2,CL\n');
    expect(result.problems).toMatchObject([{ code: 'samePlace', row: 1 }]);
    expect(result.problems[0].message).toContain('2 shots at 5,5 differ by 0.02');
    const conflict = await understood('1,5,5,10.20,CL\n2,5,5,15.20,CL\n3,0,0,10.2,CL\n4,9,0,10.2,CL\n');
    expect(conflict.problems).toMatchObject([{ code: 'samePlaceConflict' }]);
  });

  it('A17 keeps the unit of elevations apart: 20 ft and 0.30 m make 4.9213 %, not 1.5 %', async () => {
    const text = 'point,northing,easting,elevation\n1,560000,1430000,186.35\n2,560020,1430000,186.65\n';
    const result = await understood(text, inCarolina);
    expect(result.units.vertical).toEqual({ unit: null, from: 'unknown' });
    const grades = Object.fromEntries(
      question(result, 'verticalUnit')!.choices.map(({ id, example }) => [
        id,
        example?.gradePercent as number,
      ]),
    );
    expect(grades.m).toBeCloseTo(4.9213, 4);
    expect(grades['us-ft']).toBeCloseTo(1.5, 6);
    expect((await understood(text, { ...inCarolina, verticalUnit: 'm' })).units.vertical).toEqual({
      unit: 'm',
      from: 'given',
    });
  });

  it('says where places lie that are outside the system, and which zone they would fit', async () => {
    // Zones of one family share their false origin, so only the project's own area tells them apart.
    const zone3 = system(2227);
    const [east, north] = makeProjection(zone3).fromLonLat(-121.9, 37.4);
    const say = (metres: number) => (metres / zone3.metresPerUnit).toFixed(3);
    const result = await understood(
      `point,northing,easting,elevation\n1,${say(north)},${say(east)},50\n`,
      { crs: system(2229), projectArea: { west: -122.2, east: -121.6, south: 37.2, north: 37.6 } },
      crsLookup,
    );
    expect(codes(result.problems)).toContain('outsideArea');
    expect(question(result, 'zone')?.choices.map(({ id }) => id)).toContain('EPSG:2227');
  });

  it('asks when coordinates of a grid could be longitude and latitude', async () => {
    const result = await understood('point,easting,northing,elevation\n1,-75.2,40.1,300\n', inCarolina);
    expect(question(result, 'lonLatInGrid')?.choices.map(({ id }) => id)).toEqual(['degrees', 'EPSG:2264']);
  });

  it('asks which mark is meant where every number could be read both ways', async () => {
    expect(question(await understood('1;512,678;401,500;12,345;MH\n'), 'decimalMark')?.likely).toBe(',');
  });

  it('lists float shots and codes that are not known', async () => {
    const result = await understood('1,10,20,5,CL FLOAT\n2,11,21,5,ZZ\n');
    expect(codes(result.problems)).toEqual(['floatSolution', 'unknownCodes']);
  });
});

describe('structures', () => {
  it('A4 a byte order mark hides no column: one cover MH-1', async () => {
    const result = await understood('\ufeffid,lat,lon\nMH-1,40.1,-75.2');
    expect(result).toMatchObject({
      kind: 'structures',
      count: 1,
      crs: { code: 'EPSG:4326' },
      units: { horizontal: { unit: 'degree', from: 'file' } },
      sample: [{ id: 'MH-1', lat: 40.1, lon: -75.2 }],
      bounds: { minEasting: -75.2, minNorthing: 40.1 },
    });
    expect(result.columns.map(({ name, meaning }) => [name, meaning])).toEqual([
      ['id', 'id'],
      ['lat', 'lat'],
      ['lon', 'lon'],
    ]);
  });

  it('A15 keeps ids as they are written and names what a spreadsheet mangled', async () => {
    const result = await understood('id,rim_elevation\n0012,1\n12,1\n3-12,1\n100E10,1\n12-Mar,1\n');
    expect(result.sample.map(({ id }) => id)).toEqual(['0012', '12', '3-12', '100E10', '12-Mar']);
    expect(result.problems.filter(({ code }) => code === 'mangledId')).toMatchObject([
      { row: 6, value: '12-Mar', message: expect.stringContaining('looks spreadsheet-mangled') },
    ]);
    expect(codes(result.problems)).not.toContain('duplicateId');
  });

  it('A16 keeps covers without a place, lists them and draws none at 0,0', async () => {
    const result = await understood('id,lat,lon\nMH-7,,\nMH-8,0,0');
    expect(result).toMatchObject({ count: 2, bounds: null });
    expect(result.problems).toMatchObject([
      { code: 'noPlace', row: 2 },
      { code: 'noPlace', row: 3 },
    ]);
    expect(result.sample).toMatchObject([
      { id: 'MH-7', lat: null, lon: null },
      { id: 'MH-8', lat: null, lon: null },
    ]);
  });

  it('asks for the unit of a size, and says what the value is in each: 0.65 ft = 7.8 in', async () => {
    const result = await understood(
      'id,easting,northing,rim elev,frame\nC-1,1430000,560000,740.1,0.65\n',
      inCarolina,
    );
    const unit = question(result, 'columnUnit');
    expect(unit?.about).toBe('frame');
    expect(unit?.choices.find(({ id }) => id === 'ft')?.text).toContain('7.8 in');
    expect(unit?.choices.find(({ id }) => id === 'm')?.text).toContain('650 mm');
    expect(unit?.likely).toBeNull();
    expect(question(await understood('id,frame_in\nC-1,8\n'), 'columnUnit')).toBeUndefined();
  });

  it('reads headings of many hands, a quoted field over two lines and a decimal comma', async () => {
    const street = '"Alder\n""A""; Street"';
    const text = `MH ID;Rim Elev. (m);Rechts;Street;Note\n0012;12,345;1;${street};24"\n0013;12,400;1;Birch;"\n`;
    const result = await understood(text);
    expect(result.sample).toMatchObject([
      { row: 2, id: '0012', rim_elevation: 12.345, street: 'Alder\n"A"; Street' },
      { row: 4, id: '0013', rim_elevation: 12.4, street: 'Birch' },
    ]);
    expect(result.units.vertical).toEqual({ unit: 'm', from: 'heading' });
  });

  it('names a second structure of the same id, a value that is no number and a row too long', async () => {
    const result = await understood('id,rim_elevation\nA,1\nA,2\nB,x\nC,1,2\n');
    expect(result.problems.map(({ code, row }) => [code, row])).toEqual([
      ['fieldCount', 5],
      ['duplicateId', 3],
      ['notANumber', 4],
      ['noPlaceColumns', null],
    ]);
  });

  it('asks of what an elevation is, and which column names the structures', async () => {
    const result = await understood('x0,y0,name,elevation,inv_elev,max_depth\n10,20,j1,26.8,24.7,2.1\n');
    expect(result.kind).toBe('structures');
    expect(codes(result.questions)).toEqual(
      expect.arrayContaining(['idColumn', 'whichElevation', 'axisOrder', 'columnUnit']),
    );
  });

  it('takes what was said: meanings and units of columns', async () => {
    const said: Said = { meanings: { Tag: 'id', Z: 'rim_elevation', Q: null }, columnUnits: { Z: 'm' } };
    const result = await understood('Tag,Z,Q,frame_mm\nA-1,12.5,9,100\n', said);
    expect(result.sample[0]).toMatchObject({ id: 'A-1', rim_elevation: 12.5, frame_height: 100 });
    expect(result.units.vertical).toEqual({ unit: 'm', from: 'heading' });
  });

  it('says that 0 in most rows of a size stands for unknown', async () => {
    const rows = Array.from({ length: 20 }, (_, i) => `A-${i},${i < 14 ? 0 : 600 + i}`).join('\n');
    const result = await understood(`id,depth_mm\n${rows}\n`);
    expect(result.problems).toMatchObject([
      { code: 'noPlaceColumns' },
      { code: 'zeroMeansUnknown', column: 'depth_mm' },
    ]);
  });
});

const numbersIn = (value: unknown): number[] => {
  if (typeof value === 'number') return [value];
  return value === null || typeof value !== 'object' ? [] : Object.values(value).flatMap(numbersIn);
};

describe('files from anybody', () => {
  const cell = fc.oneof(
    fc.constantFrom(
      '',
      '0',
      '-999',
      'MH',
      '24"',
      '"',
      'FLOAT',
      '12,5',
      '1.217,64',
      'x',
      '0012',
      '12-Mar',
      '1e308',
      '-1e309',
    ),
    fc.double({ noNaN: true }).map(String),
    fc.integer({ min: -2e6, max: 2e6 }).map(String),
  );
  const heading = fc.constantFrom(
    'id',
    'point',
    'northing',
    'easting',
    'elevation',
    'lat',
    'lon',
    'x',
    'y',
    'rim',
    'frame',
    'code',
    'q',
    'epoch',
    'sigma_mm',
  );
  const table = fc.tuple(
    fc.array(heading, { maxLength: 8 }),
    fc.array(fc.array(cell, { maxLength: 8 }), { maxLength: 30 }),
  );

  it('are understood or refused, never thrown at, with every count and bound a number', async () => {
    await fc.assert(
      fc.asyncProperty(
        table,
        fc.constantFrom(',', ';', '\t', ' '),
        fc.boolean(),
        async ([headings, rows], delimiter, given) => {
          const text = [headings, ...rows].map((row) => row.join(delimiter)).join('\n');
          const file = await openDelimited(textFile(text));
          if ('code' in file) return;
          const result = await understand(file, given ? inCarolina : {}, crsLookup);
          if ('code' in result) return;
          expect(result.count).toBeGreaterThan(0);
          expect(numbersIn(result).filter((number) => !Number.isFinite(number))).toEqual([]);
          for (const { likely, choices } of result.questions) {
            if (likely !== null) expect(choices.map(({ id }) => id)).toContain(likely);
          }
        },
      ),
      { numRuns: 400 },
    );
  });
});

describe('the whole file', () => {
  it('stops the faults of a row at that row and reads the file twice alike', async () => {
    const file = await opened(textFile('1,10,20,5,CL\n2,x,20,5,CL\n3,11,21,5,CL\n'));
    const first = await understand(file, {}, crsLookup);
    const second = await understand(file, {}, crsLookup);
    expect(second).toEqual(first);
  });

  it('is one problem when it has no usable row', async () => {
    const file = await opened('point,northing,easting,elevation\n1,a,2,3\n2,,2,3\n');
    expect(await understand(file, {}, crsLookup)).toMatchObject({
      code: 'notANumber',
      row: 2,
      column: 'northing',
    });
  });
});
