import { mkdtempSync, readdirSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import fc from 'fast-check';
import { afterAll, describe, expect, it } from 'vitest';
import type { Shot } from '#core/surface/types.ts';
import { csvLine } from '../../../server/staging/refused.ts';
import { cellOf } from '../../../server/store/cell.ts';
import { NameCounter } from '../../../server/store/staging/names.ts';
import { shotRows } from '../../../server/store/staging/shotRows.ts';

describe('names of points', () => {
  it('are counted as a plain map counts them, whatever they look like', () => {
    const name = fc.oneof(
      fc.integer({ min: 0, max: 3 }).map(String),
      fc.constantFrom('01', '1', '1.0', '', 'MH-1', 'mh-1', '4294967296', '999999999', '-1'),
      fc.string({ maxLength: 3 }),
    );
    fc.assert(
      fc.property(fc.array(name, { maxLength: 200 }), (names) => {
        const counter = new NameCounter();
        const plain = new Map<string, number>();
        for (const each of names) {
          const count = plain.get(each) ?? 0;
          expect(counter.next(each)).toBe(count);
          plain.set(each, count + 1);
        }
      }),
    );
  });

  it('are told apart in the hundred thousands', () => {
    const counter = new NameCounter();
    const once = Array.from({ length: 200_000 }, (_, i) => counter.next(`TP${i}`));
    const twice = Array.from({ length: 200_000 }, (_, i) => counter.next(`TP${i}`));
    expect(once.every((count) => count === 0)).toBe(true);
    expect(twice.every((count) => count === 1)).toBe(true);
  });
});

const shot = (point: string, east: number, north: number, code = 'FG'): Shot => ({
  point,
  east,
  north,
  elevation: 100,
  code,
  role: 'surface',
  sigma: null,
});

const folder = mkdtempSync(join(tmpdir(), 'rimplane-rows-'));
afterAll(() => rmSync(folder, { recursive: true }));

/** Rows of COPY's binary form, each a list of its fields; null for a null. */
async function rowsOf(shots: Shot[], sent?: (share: number) => Promise<void>): Promise<(Buffer | null)[][]> {
  const chunks: Buffer[] = [];
  const batches = async function* () {
    yield shots;
  };
  const options = { head: ['a'], tail: null, spool: join(folder, 'rows.spool'), sent };
  for await (const chunk of shotRows(batches(), options)) chunks.push(Buffer.from(chunk));
  expect(readdirSync(folder)).toEqual([]);
  const bytes = Buffer.concat(chunks);
  const rows: (Buffer | null)[][] = [];
  let at = 19;
  for (let count = bytes.readInt16BE(at); count >= 0; count = bytes.readInt16BE(at)) {
    at += 2;
    const row: (Buffer | null)[] = [];
    for (let field = 0; field < count; field++) {
      const size = bytes.readInt32BE(at);
      at += 4;
      row.push(size < 0 ? null : bytes.subarray(at, at + size));
      at += Math.max(0, size);
    }
    rows.push(row);
  }
  expect(at + 2).toBe(bytes.length);
  return rows;
}

describe('rows for COPY', () => {
  it('stand place by place, and shots of one name are told apart by their order in the file', async () => {
    const rows = await rowsOf([shot('7', 500_100, 10), shot('8', 500_000, 10), shot('7', 500_000, 10)]);
    expect(rows.map((row) => [row[1]!.toString(), row[2]!.readInt32BE()])).toEqual([
      ['8', 0],
      ['7', 1],
      ['7', 0],
    ]);
    const [, , , east, north, , , , sigma, cell] = rows[2];
    expect(east!.readDoubleBE()).toBe(500_100);
    expect(sigma).toBeNull();
    expect(Number(cell!.readBigInt64BE())).toBe(cellOf(500_100, north!.readDoubleBE()));
  });

  it('of a survey too large to order in memory stand place by place all the same, and leave no file', async () => {
    const count = 120_000;
    const shots = Array.from({ length: count }, (_, i) =>
      shot(String(i), 20 * ((i * 7919) % 5003), 20 * (i % 7), i === 77_000 ? 'x'.repeat(300_000) : 'FG'),
    );
    let share = 0;
    const rows = await rowsOf(shots, async (more) => {
      share += more;
    });
    expect(share).toBeCloseTo(1, 9);
    const numbers = rows.map((row) => Number(row[1]!.toString()));
    const cells = rows.map((row) => Number(row[9]!.readBigInt64BE()));
    expect(new Set(numbers).size).toBe(count);
    const isInOrder = (i: number) =>
      cells[i - 1] < cells[i] || (cells[i - 1] === cells[i] && numbers[i - 1] < numbers[i]);
    expect(cells.every((_, i) => i === 0 || isInOrder(i))).toBe(true);
    expect(rows.find((row) => row[1]!.toString() === '77000')![6]).toHaveLength(300_000);
  });

  it('stop where the work is to stop, and leave no file', async () => {
    const shots = Array.from({ length: 60_000 }, (_, i) => shot(String(i), i, i));
    const stop = async () => {
      throw new Error('stop');
    };
    await expect(rowsOf(shots, stop)).rejects.toThrow('stop');
    expect(readdirSync(folder)).toEqual([]);
  });

  it('hold texts of any length, and no zero characters', async () => {
    const long = 'ü'.repeat(400_000);
    const rows = await rowsOf([shot('1', 0, 0, long), shot('a\0b', 0, 0)]);
    expect(rows[0][6]!.toString()).toBe(long);
    expect(rows[1][1]!.toString()).toBe('ab');
  });
});

describe('a line of refused rows', () => {
  it('makes text of what a spreadsheet would run, and leaves numbers', () => {
    const fields = ['=1+1', '-12.5', '+3', '-x', '@a', 'MH, RIM, 24"'];
    expect(csvLine(fields)).toBe(`'=1+1,-12.5,+3,'-x,'@a,"MH, RIM, 24"""\r\n`);
  });
});
