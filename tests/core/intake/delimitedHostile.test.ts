import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { delimitedReader, openDelimited } from '#core/intake/delimited.ts';
import { mostProblems } from '#core/intake/types.ts';
import { bytesFile, opened, recordsOf, shotsOf, textFile } from '../../helpers/textFile.ts';

/** Everything that a reader may be asked for. */
async function readAll(bytes: Uint8Array, chunk = 65_536): Promise<number> {
  const file = await openDelimited(bytesFile(bytes, { chunk }));
  if ('code' in file) return 0;
  return (await shotsOf(file)).length + (await recordsOf(file)).length;
}

describe('delimited text from anybody', () => {
  it('refuses a line of 10 MB in one line, having looked at a tenth of it', async () => {
    let taken = 0;
    const file = await openDelimited({
      ...textFile('1'),
      size: 10_000_000,
      bytes: async (_, length) => new Uint8Array(length).fill(49),
      async *chunks() {
        for (let i = 0; i < 160; i++) {
          taken += 65_536;
          yield new Uint8Array(65_536).fill(49);
        }
      },
    });
    expect(file).toMatchObject({ code: 'lineTooLong' });
    expect(taken).toBeLessThan(1_200_000);
  });

  it('refuses a row of a million columns, and a heading of two thousand', async () => {
    expect(await openDelimited(textFile(`${'1,'.repeat(1_000_000)}\n`))).toMatchObject({
      code: 'lineTooLong',
    });
    expect(await openDelimited(textFile(`${'a,'.repeat(2000)}\n1,2\n`))).toMatchObject({
      code: 'tooManyColumns',
    });
  });

  it('stops at a long line further down, naming its row, and keeps what stood before it', async () => {
    const file = await opened(`1,10,20,5,CL\n2,11,21,5,CL\n3,${'9'.repeat(1_500_000)},1,1,CL\n4,1,1,1,CL\n`);
    expect(await shotsOf(file)).toHaveLength(2);
    expect(file.problems).toMatchObject([{ code: 'lineTooLong', row: 3 }]);
  });

  it('lists a thousand faults and counts the rest, once however often the rows are read', async () => {
    const file = await opened(
      `${'1,10,x,5,CL\n'.repeat(3)}${'1,10,20,5,CL\n'.repeat(60)}${'1,10,x,5,CL\n'.repeat(1500)}`,
    );
    await shotsOf(file);
    await shotsOf(file);
    expect(file.problems).toHaveLength(mostProblems + 1);
    expect(file.problems.at(-1)).toMatchObject({ code: 'more' });
    expect(file.problems.at(-1)?.message).toContain('503');
  });

  it('is no reader of bytes, XML or JSON', () => {
    const head = (text: string) => delimitedReader.recognises('a.csv', new TextEncoder().encode(text));
    expect(head('<?xml version="1.0"?>')).toBe(0);
    expect(head('{"type": "FeatureCollection"}')).toBe(0);
    expect(head('\u0001\u0002\u0000\u0007')).toBe(0);
    expect(head('1,2,3')).toBeGreaterThan(0.5);
  });

  const rows = fc.array(
    fc.oneof(
      fc.string({ maxLength: 40 }),
      fc.constantFrom(
        '"',
        '""',
        '"a',
        ',"',
        ';',
        '#',
        '//',
        '\t',
        ' ',
        '\ufeff',
        '1,2,3,4,5',
        'id,rim,"x',
        '1;2,5;3',
      ),
      fc
        .array(fc.oneof(fc.double().map(String), fc.constantFrom('', 'MH', '24"', '-', '1,2')))
        .map((r) => r.join(',')),
    ),
    { maxLength: 60 },
  );

  it('never throws and never hangs, whatever the text and however it is cut', async () => {
    await fc.assert(
      fc.asyncProperty(
        rows,
        fc.constantFrom('\n', '\r', '\r\n'),
        fc.integer({ min: 1, max: 99 }),
        async (lines, end, chunk) => {
          const bytes = new TextEncoder().encode(lines.join(end));
          expect(await readAll(bytes, chunk)).toBe(await readAll(bytes));
        },
      ),
      { numRuns: 300 },
    );
  });

  it('never throws on any bytes', async () => {
    await fc.assert(
      fc.asyncProperty(
        fc.uint8Array({ maxLength: 600 }),
        fc.integer({ min: 1, max: 99 }),
        async (bytes, chunk) => {
          await readAll(bytes, chunk);
        },
      ),
      { numRuns: 300 },
    );
  });

  it('gives back every point that was written, in every dialect', async () => {
    const number = fc.integer({ min: -9_999_999, max: 9_999_999 }).map((n) => n / 1000);
    const dialects = fc.constantFrom(
      [',', '.'],
      [';', ','],
      ['\t', ','],
      ['\t', '.'],
      [' ', '.'],
      [' ', ','],
      [';', '.'],
    );
    const points = fc.array(fc.tuple(number, number, number), { minLength: 3, maxLength: 80 });
    await fc.assert(
      fc.asyncProperty(points, dialects, async (written, [delimiter, mark]) => {
        const say = (value: number) => value.toFixed(3).replace('.', mark);
        const text = written
          .map(([n, e, z], i) => [`P${i}`, say(n), say(e), say(z), 'CL'].join(delimiter))
          .join('\n');
        const options = mark === ',' ? ({ mark: ',' } as const) : {};
        const shots = await shotsOf(await opened(text, options));
        expect(shots.map((s) => [s.northing, s.easting, s.elevation])).toEqual(
          written.map((p) => p.map((v) => v + 0)),
        );
      }),
      { numRuns: 150 },
    );
  });

  it.each([
    ['quotes that nothing closes', (n: number) => 'id,rim,note\n'.concat('1,2,"a\n'.repeat(n))],
    ['quotes in one line', (n: number) => `id,rim,note\n1,2,${'"a,'.repeat(n)}\n`],
    ['blanks', (n: number) => `1 10 20 5 CL\n${' '.repeat(n)}\n`],
    ['faulty rows', (n: number) => `1,10,20,5,CL\n${'x,y,z,w\n'.repeat(n)}`],
  ])('takes time in step with the length of a file of %s', async (_, make) => {
    const seconds = async (text: string) => {
      const bytes = new TextEncoder().encode(text);
      const times: number[] = [];
      for (let round = 0; round < 3; round++) {
        const start = performance.now();
        await readAll(bytes);
        times.push(performance.now() - start);
      }
      return Math.min(...times);
    };
    const short = await seconds(make(20_000));
    const long = await seconds(make(160_000));
    // Eight times the file: in step is 8, squared would be 64.
    expect(long).toBeLessThan(24 * Math.max(short, 2));
  });
});
