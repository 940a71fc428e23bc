import { describe, expect, it } from 'vitest';
import { openDelimited } from '#core/intake/delimited.ts';
import { bytesFile, opened, recordsOf, shotsOf, textFile, utf16 } from '../../helpers/textFile.ts';

const read = async (source: Parameters<typeof opened>[0], options?: Parameters<typeof opened>[1]) => {
  const file = await opened(source, options);
  const shots = await shotsOf(file);
  return { file, shots, problems: file.problems };
};

describe('delimited points: what a row is', () => {
  it('reads PNEZD: point, northing, easting, elevation, description (CAD developer guides, point file formats)', async () => {
    const { shots } = await read('1,1217.64,843.25,257.29,MH\n');
    expect(shots).toEqual([
      { row: 1, point: '1', northing: 1217.64, easting: 843.25, elevation: 257.29, code: 'MH', sigma: null },
    ]);
  });

  for (const [name, text] of [
    ['CR alone', '1,10,20,5.0,MH\r2,11,21,5.1,EP\r'],
    ['CRLF and LF mixed', '1,10,20,5.0,MH\r\n2,11,21,5.1,EP\n'],
    ['no line end at the end', '1,10,20,5.0,MH\n2,11,21,5.1,EP'],
    ['blank lines between', '\n1,10,20,5.0,MH\r\n\r\n\n2,11,21,5.1,EP\n\n'],
  ]) {
    for (const chunk of [1, 3, 15, 16, 65_536]) {
      it(`A6 ${name} in chunks of ${chunk}: two points whose codes are exactly MH and EP`, async () => {
        const { shots, problems } = await read(textFile(text, { chunk }));
        expect(shots.map(({ code }) => code)).toEqual(['MH', 'EP']);
        expect(shots.map(({ elevation }) => elevation)).toEqual([5, 5.1]);
        expect(problems).toEqual([]);
      });
    }
  }

  it('A18 keeps all after the fourth comma as the code, and a lone inch mark swallows nothing', async () => {
    const { shots, problems } = await read(
      '326,538549.007,1455378.621,677.609,MH, RIM, 24"\n327,538550.007,1455379.621,677.7,CL\n',
    );
    expect(shots.map(({ code }) => code)).toEqual(['MH, RIM, 24"', 'CL']);
    expect(problems).toEqual([]);
  });

  it('keeps brackets, colons, quotes inside and doubled quotes of a description', async () => {
    const { shots } = await read('1,1,2,3,"MH ""A"", 24"""\n2,1,2,3,MH [x]: (y) "z" w\n3,1,2,3,"open\n');
    expect(shots.map(({ code }) => code)).toEqual(['MH "A", 24"', 'MH [x]: (y) "z" w', '"open']);
  });

  it('leaves out lines that start with # or //, and with ; where it separates nothing', async () => {
    const { shots } = await read('# job\n// crew\n; note\n1,10,20,5,CL\n#2,1,1,1,CL\n3,11,21,5,CL\n');
    expect(shots.map(({ point }) => point)).toEqual(['1', '3']);
    const semicolons = await read(';10,5;20,5;1,5;CL\n2;11,5;21,5;1,5;CL\n');
    expect(semicolons.shots.map(({ point }) => point)).toEqual(['', '2']);
  });

  it('takes the empty columns that spreadsheets leave at the end of a row for nothing', async () => {
    const { shots, problems } = await read('point,northing,easting,elevation\n1,10,20,5,,,\n');
    expect(shots).toHaveLength(1);
    expect(problems).toEqual([]);
  });
});

describe('delimited points: numbers', () => {
  for (const [name, text] of [
    ['A5 semicolons and decimal commas', '7;5012345,678;401234,500;12,345;MH'],
    ['tabs and decimal commas', '7\t5012345,678\t401234,500\t12,345\tMH'],
    ['spaces and decimal commas', '7 5012345,678 401234,500 12,345 MH'],
    ['commas and points', '7,5012345.678,401234.500,12.345,MH'],
    ['quoted thousands', '7,"5,012,345.678","401,234.500",12.345,MH'],
    ['blanks between thousands', '7;5 012 345,678;401 234,500;12,345;MH'],
    ['no-break blanks', '7;5\u00a0012\u00a0345.678;401\u202f234.500;12.345;MH'],
    ['apostrophes', "7,5'012'345.678,401'234.500,12.345,MH"],
    ['points between thousands', '7;5.012.345,678;401.234,500;12,345;MH'],
    ['quoted decimal commas', '7,"5012345,678","401234,500","12,345",MH'],
  ]) {
    it(`reads ${name}`, async () => {
      const { shots, problems } = await read(`${text}\n${text.replace(/^7/, '8')}\n`);
      expect(problems).toEqual([]);
      expect(shots[1]).toMatchObject({
        point: '8',
        northing: 5012345.678,
        easting: 401234.5,
        elevation: 12.345,
        code: 'MH',
      });
    });
  }

  it('A5 refuses a comma for both, naming row and count of fields', async () => {
    const { shots, problems } = await read('6,5012345,401234,12,MH\n7,5012345,678,401234,500,12,345,MH\n');
    expect(shots.map(({ point }) => point)).toEqual(['6']);
    expect(problems).toMatchObject([{ code: 'fieldCount', row: 2 }]);
    expect(problems[0].message).toContain('8 fields where 5 are expected');
  });

  it('refuses the other mark in a file that shows one, since it could be read two ways', async () => {
    const { shots, problems } = await read('1;1217.64;843.25;257.29;MH\n2;1217.64;843.25;12,345;MH\n');
    expect(shots).toHaveLength(1);
    expect(problems).toMatchObject([{ code: 'notANumber', row: 2, column: 'elevation', value: '12,345' }]);
  });

  it('says when every number could be read both ways', async () => {
    const { file } = await read('1;512,678;401,500;12,345;MH\n');
    expect(file.dialect.markInDoubt).toBe(true);
    const { shots } = await read('1;512,678;401,500;12,345;MH\n', { mark: '.' });
    expect(shots[0].northing).toBe(512678);
  });

  it('never takes a blank for 0: no place is refused, no elevation is kept as missing', async () => {
    const { shots, problems } = await read('1,10,20,,CL\n2,,20,5,CL\n3,11,21,5,CL\n');
    expect(shots.map(({ elevation }) => elevation)).toEqual([Number.NaN, 5]);
    expect(problems).toMatchObject([{ code: 'missing', row: 2, column: 'northing' }]);
  });

  it('names row, column and value of what is no number', async () => {
    const { problems } = await read('1,10,20,5,CL\n2,11,2l,5,CL\n3,12,22,-,CL\n');
    expect(problems).toMatchObject([
      { row: 2, column: 'easting', value: '2l' },
      { row: 3, column: 'elevation', value: '-' },
    ]);
  });
});

describe('delimited points: order of columns', () => {
  it('reads headings in any order, with units and a fixed or float column', async () => {
    const { file, shots } = await read(
      'Code,Easting (ft),Northing (ft),Elev_m,PT,fix,sigma_mm\nCL,20,10,5,A1,FLOAT,12\n',
    );
    expect(shots[0]).toMatchObject({
      point: 'A1',
      northing: 10,
      easting: 20,
      elevation: 5,
      code: 'CL',
      fix: 'FLOAT',
      sigma: 12,
    });
    expect(file.points[0].sigmaUnit).toBe('mm');
    expect(file.layout?.axesInDoubt).toBe(false);
  });

  it.each([
    ['NEZ', '10.5,20.5,5.1\n11.5,21.5,5.2\n', { point: '', northing: 10.5, easting: 20.5, elevation: 5.1 }],
    [
      'PNEZ',
      '1,10.5,20.5,5.1\n2,11.5,21.5,5.2\n',
      { point: '1', northing: 10.5, easting: 20.5, elevation: 5.1 },
    ],
    ['NEZD', '10.5,20.5,5.1,CL\n11.5,21.5,5.2,EP\n', { point: '', northing: 10.5, code: 'CL' }],
  ])('reads %s without headings, with the axes in doubt', async (_, text, first) => {
    const { file, shots } = await read(text);
    expect(shots[0]).toMatchObject(first);
    expect(file.layout?.axesInDoubt).toBe(true);
  });

  it('takes an order that is given: PENZD, ENZ, with columns left out', async () => {
    const penzd = await read('1,843.25,1217.64,257.29,MH\n', {
      order: ['point', 'easting', 'northing', 'elevation', 'code'],
    });
    expect(penzd.shots[0]).toMatchObject({ northing: 1217.64, easting: 843.25 });
    const enz = await read('9 843.25 x 1217.64 257.29\n', {
      order: [null, 'easting', null, 'northing', 'elevation'],
    });
    expect(enz.shots[0]).toMatchObject({ northing: 1217.64, easting: 843.25, elevation: 257.29, point: '' });
    expect(enz.file.layout?.axesInDoubt).toBe(false);
  });

  it('reads x as east with the axes in doubt, since x is north in some countries', async () => {
    const { file, shots } = await read('x,y,z\n843.25,1217.64,257.29\n');
    expect(shots[0]).toMatchObject({ northing: 1217.64, easting: 843.25 });
    expect(file.layout?.axesInDoubt).toBe(true);
  });

  it('finds headings under lines of title, which it names, and passes a line that names the delimiter', async () => {
    const text =
      'sep=;\nJob 7;Alder Street\nCrew 2\nCode;Northing;Easting;Elevation\nCL;10,5;20,5;1,25\nEP;11,5;21,5;1,26\n';
    const { file, shots } = await read(text);
    expect(shots.map(({ row, northing, code }) => [row, northing, code])).toEqual([
      [5, 10.5, 'CL'],
      [6, 11.5, 'EP'],
    ]);
    expect(file.problems).toMatchObject([
      { code: 'titles', message: '2 lines above the headings of row 4 are not read' },
    ]);
    const one = await read('Job 7;Alder Street\nCode;Northing;Easting;Elevation\nCL;10,5;20,5;1,25\n');
    expect(one.file.problems).toMatchObject([
      { code: 'titles', message: '1 line above the headings of row 2 is not read' },
    ]);
  });

  it('finds headings in a comment above the rows', async () => {
    const { shots } = await read('# point easting northing elevation code\n1 843.25 1217.64 257.29 MH\n');
    expect(shots[0]).toMatchObject({ easting: 843.25, northing: 1217.64 });
  });

  it.each([
    ['two columns of northing', 'point,northing,north,easting,elevation\n1,2,3,4,5\n', 'duplicateColumn'],
    ['no easting', 'point,northing,elevation,code\n1,2,3,CL\n', 'missingColumn'],
    ['prose', 'Dear all,\nplease find the survey.\n', 'notATable'],
    ['comments alone', '# nothing\n', 'empty'],
    ['nothing', '', 'empty'],
  ])('refuses %s as a whole', async (_, text, code) => {
    const file = await openDelimited(textFile(text), { as: 'shots' });
    expect(file).toMatchObject({ code });
  });
});

describe('delimited text: encodings', () => {
  const text = 'point,northing,easting,elevation,code\r\n1,10,20,5,Straße\r\n2,11,21,6,Ørsted\r\n';
  const expected = ['Straße', 'Ørsted'];
  it.each([
    ['UTF-8', new TextEncoder().encode(text)],
    ['UTF-8 with its mark', new TextEncoder().encode(`\ufeff${text}`)],
    ['UTF-16 little end first', utf16(text)],
    ['UTF-16 big end first', utf16(text, { bigEndian: true })],
    ['UTF-16 without its mark', utf16(text, { mark: false })],
    ['UTF-16 big end first without its mark', utf16(text, { bigEndian: true, mark: false })],
  ])('reads %s, in chunks that cut through characters', async (_, bytes) => {
    for (const chunk of [7, 65_536]) {
      const { shots, problems } = await read(bytesFile(bytes, { chunk }));
      expect(shots.map(({ code }) => code)).toEqual(expected);
      expect(shots[0].point).toBe('1');
      expect(problems).toEqual([]);
    }
  });

  it('reads bytes that are no UTF-8 as Windows-1252 and says so', async () => {
    const bytes = Uint8Array.from([...text].map((character) => character.charCodeAt(0)));
    const { shots, problems } = await read(bytesFile(bytes));
    expect(shots.map(({ code }) => code)).toEqual(expected);
    expect(problems).toMatchObject([{ code: 'encoding' }]);
  });

  it('A4 a mark before the headings hides no column', async () => {
    const file = await opened('\ufeffid,lat,lon\nMH-1,40.1,-75.2');
    expect(file.layers[0].columns.map(({ name }) => name)).toEqual(['id', 'lat', 'lon']);
    expect((await recordsOf(file)).map(({ values }) => values)).toEqual([['MH-1', '40.1', '-75.2']]);
  });
});
