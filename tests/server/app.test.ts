import { expect, it } from 'vitest';
import { createTestApp } from '../helpers/app.ts';

it('keeps idle connections longer than nginx does, 60 s by its manual (ngx_http_upstream_module)', async () => {
  const test = await createTestApp();
  expect(test.app.server.keepAliveTimeout).toBeGreaterThan(60_000);
  await test.close();
}, 30_000);
