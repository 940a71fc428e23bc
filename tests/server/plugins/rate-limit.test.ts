import Fastify from 'fastify';
import { expect, it } from 'vitest';
import { useProblems } from '../../../server/plugins/problems.ts';
import { changesPerMinute, useSecurity } from '../../../server/plugins/security.ts';

it('lets an office of two hundred people behind one address work, and stops what changes things without end', async () => {
  const app = Fastify();
  useProblems(app as never);
  await useSecurity(app, null);
  app.get('/cover', () => 'here');
  app.patch('/cover', () => 'changed');
  const times = async (count: number, method: 'GET' | 'PATCH', remoteAddress = '10.0.0.7') => {
    const codes = new Map<number, number>();
    for (let each = 0; each < count; each++) {
      const { statusCode } = await app.inject({ method, url: '/cover', remoteAddress });
      codes.set(statusCode, (codes.get(statusCode) ?? 0) + 1);
    }
    return Object.fromEntries(codes);
  };
  // Each opens the desk, and it looks at the project again twenty times: common practice, no source.
  expect(await times(200 * 40, 'GET')).toEqual({ 200: 8000 });
  expect(await times(changesPerMinute, 'PATCH')).toEqual({ 200: changesPerMinute });
  expect(await times(1, 'PATCH')).toEqual({ 429: 1 });
  expect(await times(1, 'GET')).toEqual({ 200: 1 });
  expect(await times(1, 'PATCH', '10.0.0.8')).toEqual({ 200: 1 });
  await app.close();
}, 60_000);
