import { sql } from 'kysely';
import { expect, inject, it } from 'vitest';
import { openDatabase } from '../../../server/store/database.ts';

it('lets a statement and a transaction that are at work end, and closes then instead of waiting three seconds', async () => {
  const database = openDatabase(inject('databaseServer'));
  const { rows: before } = await sql<{ n: number }>`select 1 as n`.execute(database.kysely);
  expect(before).toEqual([{ n: 1 }]);
  const statement = sql<{ n: number }>`select 2 as n from pg_sleep(0.3)`.execute(database.kysely);
  const transaction = database.kysely.transaction().execute(async (trx) => {
    await sql`select pg_sleep(0.2)`.execute(trx);
    return sql<{ n: number }>`select 3 as n`.execute(trx);
  });
  const started = performance.now();
  const closed = database.close();
  expect((await statement).rows).toEqual([{ n: 2 }]);
  expect((await transaction).rows).toEqual([{ n: 3 }]);
  await closed;
  // The limit of a close is three seconds: less says that nobody waited for it.
  expect(performance.now() - started).toBeLessThan(2500);
});

it('refuses a statement that comes while it closes, and ends all the same where one does not end', async () => {
  const database = openDatabase(inject('databaseServer'));
  await sql`select 1`.execute(database.kysely);
  const long = sql`select pg_sleep(60)`.execute(database.kysely);
  const ended = long.then(
    () => 'ended',
    () => 'broken off',
  );
  const started = performance.now();
  const closed = database.close();
  await expect(sql`select 1`.execute(database.kysely)).rejects.toThrow('being closed');
  await closed;
  expect(performance.now() - started).toBeLessThan(5000);
  expect(await ended).toBe('broken off');
}, 15_000);
