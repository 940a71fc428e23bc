import { existsSync } from 'node:fs';
import path from 'node:path';
import fastifyStatic from '@fastify/static';
import type { FastifyInstance } from 'fastify';

const year = 'public, max-age=31536000, immutable';

/**
 * Serves the built page, compressed beforehand. Names under assets/ carry a hash of their content and may be kept
 * for ever; everything else is asked for anew. Tells which addresses are the page's own, all of its state being
 * in the address; null where no page was built.
 */
export async function useWebPage(
  app: FastifyInstance,
  folder: string | null,
): Promise<((path: string) => boolean) | null> {
  if (folder === null || !existsSync(path.join(folder, 'index.html'))) return null;
  await app.register(fastifyStatic, {
    root: folder,
    preCompressed: true,
    cacheControl: false,
    setHeaders: (response, file) => {
      const kept = path.relative(folder, file).startsWith(`assets${path.sep}`);
      response.header('cache-control', kept ? year : 'no-cache');
    },
  });
  app.get('/crew', { schema: { hide: true } }, (_request, reply) => reply.sendFile('crew.html'));
  return (address) => !address.startsWith('/api') && path.extname(address) === '';
}
