import { afterAll, beforeAll, expect, it } from 'vitest';
import { createTestApp, type TestApp } from '../../helpers/app.ts';

let test: TestApp;
beforeAll(async () => {
  test = await createTestApp();
});
afterAll(() => test.close());

const found = async (q: string) => {
  const answer = await test.inject(`/api/crs?q=${encodeURIComponent(q)}`);
  expect(answer.statusCode).toBe(200);
  return answer.json().items as { code: string; name: string; unitName: string }[];
};

// Codes and names as the EPSG register has them.
it('finds a system by its code and by words of its name, those with all the words first', async () => {
  expect((await found('2264'))[0]).toMatchObject({
    code: 'EPSG:2264',
    name: 'NAD83 / North Carolina (ftUS)',
  });
  expect((await found('utm 17n nad83')).map(({ code }) => code)).toContain('EPSG:26917');
  expect(await found('nothing is called so')).toEqual([]);
});

it('leaves out what no project can lie in, and refuses an empty search', async () => {
  // 4326 is longitude and latitude.
  expect((await found('4326')).map(({ code }) => code)).not.toContain('EPSG:4326');
  expect((await test.inject('/api/crs?q=')).statusCode).toBe(400);
});
