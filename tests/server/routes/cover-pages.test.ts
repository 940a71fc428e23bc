import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { type CoverPage, coverSorts } from '#shared/cover.ts';
import { layCity } from '../../bench/city/lay.ts';
import { createTestApp, type TestApp } from '../../helpers/app.ts';

const path = '/api/agencies/bench-city/projects/overlay/covers';

let test: TestApp;
beforeAll(async () => {
  test = await createTestApp();
  await layCity(test.database, { structures: 300, covers: 240, shots: 240 });
  // Values that many covers share, and that some have not.
  await test.database.sql`update project_covers as cover
    set status = (array['raise', 'lower', null])[1 + feature_id % 3],
      net_buildup_m = case when feature_id % 4 = 0 then null else 0.01 * (feature_id % 5) end,
      worst_m = case when feature_id % 5 = 0 then null else 0.001 * (feature_id % 3) end,
      station_m = case when feature_id % 6 = 0 then null else station_m end
    from structures as structure where structure.structure_id = cover.structure_id`;
  await test.database.sql`update structures set street = null where feature_id % 7 = 0`;
});
afterAll(() => test.close());

const page = async (url: string): Promise<CoverPage> => {
  const answer = await test.inject(url);
  expect(answer.statusCode, answer.body).toBe(200);
  return answer.json<CoverPage>();
};
const idsOf = ({ items }: CoverPage) => items.map(({ id }) => id);

/** All ids from a page on, in the order of the list, by its pages after or before it. */
async function walk(first: CoverPage, way: 'next' | 'previous'): Promise<string[]> {
  let ids = idsOf(first);
  for (let now = first; now[way] !== null; ) {
    now = await page(now[way]);
    ids = way === 'next' ? [...ids, ...idsOf(now)] : [...idsOf(now), ...ids];
  }
  return ids;
}

describe('the list of covers', () => {
  const orders = coverSorts.flatMap((sort) => ['up', 'down'].map((direction) => [sort, direction] as const));

  it.each(orders)('by %s %s is the same read backward as forward, from any page', async (sort, direction) => {
    const query = `sort=${sort}&direction=${direction}`;
    const all = idsOf(await page(`${path}?limit=2000&${query}`));
    expect(new Set(all).size).toBe(240);
    let now = await page(`${path}?limit=70&${query}`);
    expect(now.previous).toBeNull();
    for (let seen = 0; now.next !== null; ) {
      seen += now.items.length;
      now = await page(now.next);
      const before = await page(now.previous!);
      expect(idsOf(before)).toEqual(all.slice(Math.max(0, seen - 70), seen));
      expect(await walk(now, 'previous')).toEqual(all.slice(0, seen + now.items.length));
      expect((await page(before.next!)).items[0].id).toBe(now.items[0].id);
    }
  });

  it.each(['up', 'down'])('begins at a street by the first letters of its name, %s', async (direction) => {
    const query = `sort=street&direction=${direction}`;
    const all = (await page(`${path}?limit=2000&${query}`)).items;
    const streets = [...new Set(all.map(({ street }) => street))].filter((street) => street !== null);
    const street = streets[Math.floor(streets.length / 2)];
    const found = await page(`${path}?limit=20&${query}&at=${street.slice(0, 4).toLowerCase()}`);
    const start = all.findIndex((row) => row.street?.startsWith(street.slice(0, 4)));
    expect(start).toBeGreaterThan(0);
    expect(idsOf(found)).toEqual(all.slice(start, start + 20).map(({ id }) => id));
    expect([...(await walk(found, 'previous')).slice(0, start), ...(await walk(found, 'next'))]).toEqual(
      all.map(({ id }) => id),
    );
  });

  it('begins at an id by the first letters of it, among those that a filter leaves', async () => {
    const query = 'sort=id&status=raise';
    const all = idsOf(await page(`${path}?limit=2000&${query}`));
    const wanted = all[Math.floor(all.length / 2)];
    const found = await page(`${path}?limit=5&${query}&at=${wanted.toLowerCase()}`);
    expect(idsOf(found)).toEqual(all.slice(all.indexOf(wanted), all.indexOf(wanted) + 5));
    const first = await page(`${path}?limit=5&${query}&at=${all[0]}`);
    expect([first.previous, idsOf(first)[0]]).toEqual([null, all[0]]);
  });

  it('is empty where nothing begins so, and says what it may be asked for', async () => {
    const nothing = { items: [], next: null, previous: null };
    expect(await page(`${path}?sort=street&at=%25`)).toEqual(nothing);
    expect(await page(`${path}?sort=id&at=zz`)).toEqual(nothing);
    const { next } = await page(`${path}?limit=5&sort=id`);
    const after = new URLSearchParams(next!.split('?')[1]).get('after');
    for (const [query, at] of [
      ['sort=worst&at=a', '/at'],
      [`sort=id&at=a&after=${after}`, '/after'],
      ['sort=street&before=x', '/before'],
      [`sort=street&before=${after}`, '/before'],
    ]) {
      const answer = await test.inject(`${path}?${query}`);
      expect([query, answer.statusCode, answer.json().errors[0].path]).toEqual([query, 400, at]);
    }
  });
});
