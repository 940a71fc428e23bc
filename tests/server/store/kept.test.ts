import type { Kysely } from 'kysely';
import { expect, it } from 'vitest';
import { keeper } from '../../../server/store/kept.ts';
import type { Tables } from '../../../server/store/tables.ts';

const db = () => ({}) as Kysely<Tables>;

it('counts once for a token, for all who ask, and again for another one', async () => {
  const counts = keeper<number>();
  const one = db();
  let counted = 0;
  const count = async () => ++counted;
  const ask = (of: Kysely<Tables>, name: string, token: string) => counts(of, { name, token }, count);
  expect(await Promise.all([ask(one, 'a', '1'), ask(one, 'a', '1')])).toEqual([1, 1]);
  expect(await ask(one, 'a', '2')).toBe(2);
  expect(await ask(one, 'b', '2')).toBe(3);
  expect(await ask(db(), 'a', '2')).toBe(4);
  expect(await ask(one, 'a', '2')).toBe(2);
});

it('keeps no failure, and no more than it may', async () => {
  const counts = keeper<number>();
  const one = db();
  const asked = { name: 'a', token: '1' };
  await expect(counts(one, asked, () => Promise.reject(new Error('away')))).rejects.toThrow('away');
  expect(await counts(one, asked, async () => 1)).toBe(1);
  for (let each = 0; each < 100; each++) await counts(one, { name: `${each}`, token: '1' }, async () => each);
  expect(await counts(one, asked, async () => 2)).toBe(2);
});
