import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { copyOut, type RowReader } from '../../../server/store/copyOut.ts';
import type { Database } from '../../../server/store/database.ts';
import { inTransaction, literal } from '../../../server/store/transaction.ts';
import { createDatabase } from '../../helpers/database.ts';

describe('reading rows by COPY', () => {
  let database: Database;
  let drop: () => Promise<void>;
  beforeAll(async () => {
    ({ database, drop } = await createDatabase());
  });
  afterAll(() => drop());

  const read = (query: string, take: (row: RowReader) => void) =>
    inTransaction(database, ({ sql }) => copyOut(sql, query, take));

  it('reads every type that it knows, and NULL of each', async () => {
    const rows: unknown[] = [];
    const count = await read(
      `select 1.5::float8, 7::integer, ${literal("Straße 'A'")}::text, true, -9007199254740991::bigint, null::float8,
        null::text, null::boolean, null::bigint, 9007199254740991::bigint, false, ''::text, 2.5::float8`,
      (row) =>
        rows.push([
          row.double(),
          row.integer(),
          row.text(),
          row.boolOrNull(),
          row.bigOrNull(),
          row.doubleOrNull(),
          row.textOrNull(),
          row.boolOrNull(),
          row.bigOrNull(),
          row.bigOrNull(),
          row.boolOrNull(),
          row.textOrNull(),
          row.doubleOrNull(),
        ]),
    );
    expect(count).toBe(1);
    expect(rows).toEqual([
      [1.5, 7, "Straße 'A'", true, -(2 ** 53 - 1), null, null, null, null, 2 ** 53 - 1, false, '', 2.5],
    ]);
  });

  it('reads no row and a hundred thousand alike', async () => {
    expect(await read('select 1 where false', () => expect.fail())).toBe(0);
    let sum = 0;
    const count = await read('select i from generate_series(1, 100000) as i', (row) => {
      sum += row.integer();
    });
    expect([count, sum]).toEqual([100_000, 5_000_050_000]);
  });

  it('says what the database or the reader found wrong, and the connection goes on', async () => {
    await inTransaction(database, async ({ sql }) => {
      await sql`savepoint before`;
      await expect(
        copyOut(sql, 'select 1 / (i - 5000) from generate_series(1, 9000) i', () => {}),
      ).rejects.toThrow('division by zero');
      await sql`rollback to savepoint before`;
      await expect(copyOut(sql, 'select nothing', () => {})).rejects.toThrow('nothing');
      await sql`rollback to savepoint before`;
      const taking = copyOut(sql, 'select i from generate_series(1, 9000) i', (row) => {
        if (row.integer() === 4000) throw new Error('Enough');
      });
      await expect(taking).rejects.toThrow('Enough');
      expect(await copyOut(sql, 'select 1', () => {})).toBe(1);
    });
  });
});
