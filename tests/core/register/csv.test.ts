import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { makeProjection } from '#core/crs/crs.ts';
import { type RegisterOptions, readRegisterCsv } from '#core/register/csv.ts';

const foot = 1200 / 3937;
const metric: RegisterOptions = { metresPerUnit: 1, elevationMetresPerUnit: 1 };

function read(text: string, options: RegisterOptions = metric) {
  const result = readRegisterCsv(text, options);
  return { ...result, ids: result.rows.map(({ id }) => id) };
}

describe('a register', () => {
  test('is read in the units of its system and its headings', () => {
    const text =
      'id,kind,northing,easting,rim_elevation,seat_elevation,frame_height_in,rim_diameter_in,road_bearing_deg\n' +
      'C-001,sanitary,562216.011,1432974.780,757.928,757.3891,8,26,38.99\n';
    const { rows, problems, warnings } = read(text, { metresPerUnit: foot, elevationMetresPerUnit: foot });
    expect([problems, warnings]).toEqual([[], []]);
    expect(rows).toEqual([
      {
        row: 2,
        id: 'C-001',
        kind: 'sanitary',
        owner: null,
        street: null,
        east: 1432974.78 * foot,
        north: 562216.011 * foot,
        lonLat: null,
        rimElevation: 757.928 * foot,
        seatElevation: 757.3891 * foot,
        frameHeight: 8 * 0.0254,
        rimDiameter: 26 * 0.0254,
        roadBearing: (38.99 * Math.PI) / 180,
        setDown: 0,
        adjustment: 'rings',
        seatGradient: [0, 0],
        structureDepth: null,
        structureDiameter: null,
        condition: { located: null, chimneyUnsound: null, frameUnsound: null },
      },
    ]);
  });

  test('takes every other column it knows, in any case and order', () => {
    const text =
      'Owner;Street;ID;Set Down (mm);adjustment;located;chimney_unsound;frame_unsound;seat_gradient_east;' +
      'seat_gradient_north;structure_depth_ft;structure_diameter_in;Rim Elevation (m);easting_ft;northing_ft\n' +
      'Water; Low Rd ;W-1;3;Telescoping;yes;No;1;0,01;-0,02;10;48;256,48;100;200\n';
    const { rows, problems } = read(text, { metresPerUnit: foot, elevationMetresPerUnit: foot });
    expect(problems).toEqual([]);
    expect(rows[0]).toMatchObject({
      id: 'W-1',
      kind: '',
      owner: 'Water',
      street: 'Low Rd',
      setDown: 0.003,
      adjustment: 'telescoping',
      condition: { located: true, chimneyUnsound: false, frameUnsound: true },
      seatGradient: [0.01, -0.02],
      structureDepth: 3.048,
      structureDiameter: 48 * 0.0254,
      rimElevation: 256.48,
      east: 100 * foot,
      north: 200 * foot,
    });
  });

  test('a byte order mark does not hide the first column (CodeCabin/wp-google-maps#394, adaltas/node-csv#36)', () => {
    const text = new TextDecoder('utf-8', { ignoreBOM: true }).decode(
      Uint8Array.from([0xef, 0xbb, 0xbf, ...new TextEncoder().encode('id,lat,lon\nMH-1,40.1,-75.2')]),
    );
    expect(read(text)).toMatchObject({ ids: ['MH-1'], problems: [] });
    expect(read(text).rows[0].lonLat).toEqual([-75.2, 40.1]);
  });

  test.each([
    ['carriage returns alone', 'id,kind\rA,MH\rB,EP\r'],
    ['mixed line ends', 'id,kind\r\nA,MH\nB,EP\r'],
    ['blank lines', '\n\nid,kind\n\nA,MH\n , \nB,EP\n\n'],
    ['tabs', 'id\tkind\nA\tMH\nB\tEP'],
    ['quotes', '"id","kind"\n"A","MH"\n"B","EP"'],
  ])('may have %s', (_name, text) => {
    expect(read(text).rows.map(({ id, kind }) => [id, kind])).toEqual([
      ['A', 'MH'],
      ['B', 'EP'],
    ]);
  });

  test('have lone inch marks, which open no field that swallows the next row', () => {
    expect(read('id,owner\nA,24" lid\nB,"two\nC,x\n')).toMatchObject({ ids: ['A', 'B', 'C'], problems: [] });
  });

  test('counts rows as a spreadsheet does, through quoted line ends and blank lines', () => {
    const text = 'id,owner\n\nA,"two\nlines"\nB,\nC,x\nC,x\n';
    expect(read(text).rows.map(({ id, row }) => [id, row])).toEqual([
      ['A', 3],
      ['B', 5],
      ['C', 6],
    ]);
    expect(read(text).problems).toMatchObject([{ row: 7, message: expect.stringContaining('row 6') }]);
  });
});

describe('ids', () => {
  test('stay text as written (qgis/QGIS#21113, NaturalIntelligence/fast-xml-parser#98)', () => {
    expect(read('id\n0012\n12\n3-12\n100E10\n')).toMatchObject({
      ids: ['0012', '12', '3-12', '100E10'],
      problems: [],
    });
    expect(read('id,easting,northing\n100E10,1,2\n3-12,1,2').warnings).toEqual([]);
  });

  test.each(['12-Mar', 'Mar-12', '1.00E+12'])('%s looks spreadsheet-mangled, and is kept', (id) => {
    expect(read(`id,easting,northing\n${id},1,2`)).toMatchObject({
      ids: [id],
      warnings: [
        { code: 'mangledId', row: 2, column: 'id', value: id, message: expect.stringContaining('mangled') },
      ],
    });
  });

  test('a second row of an id is refused and names the first', () => {
    expect(read('id,kind\nA,one\nB,two\nA,three\n')).toMatchObject({
      ids: ['A', 'B'],
      problems: [
        { code: 'duplicateId', row: 4, column: 'id', value: 'A', message: expect.stringContaining('row 2') },
      ],
    });
  });

  test('a blank id is refused', () => {
    expect(read('id,kind\n,one\n').problems).toMatchObject([
      { row: 2, column: 'id', value: '', code: 'missing' },
    ]);
  });
});

describe('places', () => {
  test('blank and 0,0 are kept as covers without a place, and listed (culturecode/card#31, heremaps/here-cli#121)', () => {
    const { rows, problems, warnings } = read('id,lat,lon\nMH-7,,\nMH-8,0,0');
    expect(problems).toEqual([]);
    expect(rows).toMatchObject([
      { id: 'MH-7', east: null, north: null, lonLat: null },
      { id: 'MH-8', east: null, north: null, lonLat: null },
    ]);
    expect(warnings).toMatchObject([
      { code: 'noPlace', row: 2, message: expect.stringContaining('MH-7') },
      { code: 'noPlace', row: 3, message: expect.stringContaining('MH-8') },
    ]);
    expect(read('id,easting,northing\nA,0,0\nB,0,5').rows).toMatchObject([
      { east: null, north: null },
      { east: 0, north: 5 },
    ]);
  });

  test('longitude and latitude come into the grid where there is a projection', () => {
    const definition = {
      code: 32631,
      name: 'UTM 31',
      proj4: '+proj=utm +zone=31 +datum=WGS84',
      metresPerUnit: 1,
      unitName: 'metre',
      area: { west: 0, south: 0, east: 6, north: 84 },
    };
    const projection = makeProjection(definition);
    // IOGP GIGS test 5101 part 2, in PROJ test/gigs: 60 N 2 W is 221288.770, 6661953.041.
    const { rows, warnings } = read('id,Latitude,lng\nA,60,-2', { ...metric, projection });
    expect(rows[0].east).toBeCloseTo(221288.77, 2);
    expect(rows[0].north).toBeCloseTo(6661953.041, 2);
    expect(warnings).toEqual([]);
    const nowhere = {
      fromLonLat: (): [number, number] => [Number.NaN, 0],
      toLonLat: (): [number, number] => [0, 0],
    };
    expect(read('id,lat,lon\nA,60,-2', { ...metric, projection: nowhere }).problems).toMatchObject([
      { row: 2, code: 'outsideProjection' },
    ]);
    const neverNorth = { ...nowhere, fromLonLat: (): [number, number] => [0, Number.POSITIVE_INFINITY] };
    expect(read('id,lat,lon\nA,60,-2', { ...metric, projection: neverNorth }).ids).toEqual([]);
  });

  test('grid coordinates win over longitude and latitude', () => {
    expect(read('id,lat,lon,easting,northing\nA,60,-2,5,6').rows[0]).toMatchObject({
      east: 5,
      north: 6,
      lonLat: [-2, 60],
    });
  });

  test.each([
    ['id,easting,northing\nA,5,', 'northing', ''],
    ['id,easting,northing\nA,,5', 'easting', ''],
    ['id,lat,lon\nA,,5', 'lat', ''],
    ['id,lat,lon\nA,5,', 'lon', ''],
    ['id,lat,lon\nA,91,5', 'lat', '91'],
    ['id,lat,lon\nA,5,181', 'lon', '181'],
    ['id,easting\nA,5', 'northing', ''],
  ])('%j is refused', (text, column, value) => {
    expect(read(text)).toMatchObject({ ids: [], problems: [{ row: 2, column, value }] });
  });
});

describe('bad cells refuse their row, name row, column, value and rule, and leave the others', () => {
  test.each([
    ['rim_elevation', 'abc', 'not a number'],
    ['rim_elevation', '1,5', 'not a number'],
    ['frame_height_in', '0', 'above 0'],
    ['frame_height_in', '-7', 'above 0'],
    ['rim_diameter_mm', '-1', 'above 0'],
    ['set_down_in', '-1', 'negative'],
    ['road_bearing_deg', '721', '-360 to 720'],
    ['road_bearing_deg', '-361', '-360 to 720'],
    ['seat_gradient_east', '2', 'rise over run'],
    ['structure_depth_ft', 'deep', 'not a number'],
    ['structure_diameter_in', '0', 'above 0'],
    ['adjustment', 'bricks', 'rings or telescoping'],
    ['located', 'maybe', 'yes, no or blank'],
  ])('%s %s', (column, value, rule) => {
    expect(read(`id,${column}\nA,\nB,"${value}"\nC,`)).toMatchObject({
      ids: ['A', 'C'],
      problems: [{ row: 3, column, value, message: expect.stringContaining(rule) }],
    });
  });

  test('a bearing past one turn or below north is brought into the turn', () => {
    const { rows } = read('id,road_bearing_deg\nA,-90\nB,370\nC,360\n');
    expect(rows.map(({ roadBearing }) => (roadBearing! * 180) / Math.PI)).toEqual([
      expect.closeTo(270, 9),
      expect.closeTo(10, 9),
      0,
    ]);
  });

  test('more fields than headings are refused, fewer are blank', () => {
    expect(read('id,kind\nA,x,y\nB')).toMatchObject({
      ids: ['B'],
      problems: [{ row: 2, code: 'fieldCount', message: expect.stringContaining('3 fields') }],
    });
  });

  test('a row with two faults is one problem', () => {
    const { problems } = read('id,frame_height_in,rim_diameter_in\nA,x,y');
    expect(problems).toMatchObject([
      {
        column: 'frame_height_in',
        value: 'x',
        message: 'not a number; also rim_diameter_in "y": not a number',
      },
    ]);
  });

  test('what follows from a fault is not told again', () => {
    const { problems } = read('id,northing,easting\nA,56O,12');
    expect(problems).toMatchObject([{ column: 'northing', message: 'not a number' }]);
  });
});

describe('headings', () => {
  test.each([
    ['frame_height', 'frame_height_in'],
    ['rim_diameter', 'rim_diameter_mm'],
    ['set_down', 'set_down_in'],
    ['road_bearing', 'road_bearing_deg'],
  ])('%s alone could mean two things and is not read', (column, advice) => {
    const { rows, problems } = read(`id,${column}\nA,7`);
    expect(problems).toMatchObject([
      { code: 'noUnit', row: 1, column, message: expect.stringContaining(advice) },
    ]);
    expect(rows[0]).toMatchObject({ frameHeight: null, rimDiameter: null, roadBearing: null, setDown: 0 });
  });

  test('a column twice, even in two units, is refused the second time', () => {
    expect(read('id,frame_height_in,frame_height_mm\nA,7,999')).toMatchObject({
      rows: [{ frameHeight: 7 * 0.0254 }],
      problems: [{ code: 'duplicateColumn', row: 1, column: 'frame_height_mm' }],
    });
  });

  test('a unit of length where there is no length is refused', () => {
    expect(read('id,seat_gradient_east_mm\nA,7').problems).toMatchObject([
      { code: 'unit', column: 'seat_gradient_east_mm' },
    ]);
  });

  test('unknown columns are a warning; headings left blank are none', () => {
    expect(read('id,colour,\nA,red,')).toMatchObject({
      ids: ['A'],
      problems: [],
      warnings: [{ code: 'unknownColumn', row: 1, column: 'colour' }, { code: 'noPlace' }],
    });
  });

  test('a file whose first line names no column is one problem', () => {
    expect(read('MH-1,sanitary,560123,1234567\nMH-2,storm,1,2')).toMatchObject({
      rows: [],
      problems: [{ code: 'noHeading', row: 1, message: expect.stringContaining('"MH-1,sanitary,') }],
      warnings: [],
    });
  });

  test('a register without ids is refused as a whole', () => {
    expect(read('kind,toString\nA,b')).toMatchObject({
      rows: [],
      problems: [{ code: 'missingColumn', row: 1, column: 'id' }],
    });
  });
});

describe('sizes that are more likely in another unit are said in both', () => {
  test.each([
    ['frame_height_mm', '7', 'frame_height', '7 mm'],
    ['frame_height_in', '180', 'frame_height', '180.00 in'],
    ['rim_diameter_mm', '26', 'rim_diameter', '1.02 in'],
    ['rim_diameter_in', '660', 'rim_diameter', '16764 mm'],
  ])('%s %s', (heading, value, column, words) => {
    expect(read(`id,easting,northing,${heading}\nA,1,2,${value}`)).toMatchObject({
      ids: ['A'],
      warnings: [{ code: 'unlikelySize', row: 2, column, message: expect.stringContaining(words) }],
    });
  });
});

describe('files that are no register', () => {
  test('an empty one', () => {
    expect(read('').problems).toMatchObject([{ code: 'empty' }]);
    expect(read('\n \n').problems).toMatchObject([{ code: 'empty' }]);
  });

  test('the reader never throws, whatever the text', () => {
    const cell = fc.oneof(
      fc.constantFrom(
        'id',
        'kind',
        'easting',
        'northing',
        'frame_height_in',
        'lat',
        'lon',
        '',
        '"',
        '0',
        '7',
        'yes',
      ),
      fc.double().map(String),
      fc.string({ maxLength: 6 }),
    );
    const line = fc.array(cell, { maxLength: 6 });
    const file = fc
      .tuple(fc.constantFrom(',', ';', '\t'), fc.constantFrom('\n', '\r\n', '\r'), fc.array(line))
      .map(([delimiter, end, lines]) =>
        ['id,kind', ...lines.map((cells) => cells.join(delimiter))].join(end),
      );
    fc.assert(
      fc.property(fc.oneof(file, fc.string()), (text) => {
        const { rows, problems } = read(text);
        expect(new Set(rows.map(({ id }) => id)).size).toBe(rows.length);
        expect(problems.every(({ message }) => message !== '')).toBe(true);
      }),
      { numRuns: 500 },
    );
  });
});
