import type { FastifyInstance } from 'fastify';
import { HttpProblem } from '../http-problem.ts';
import { send } from './problems.ts';

/** Answers addresses that no route has: 405 with Allow where only the method is wrong, else 404. */
export function useNotFound(app: FastifyInstance, page: ((path: string) => boolean) | null): void {
  const routes: { pattern: RegExp; method: string }[] = [];
  app.addHook('onRoute', ({ url, method }) => {
    const pattern = new RegExp(
      `^${url
        .replace(/[.+^$()|[\]\\]/g, '\\$&')
        .replace(/:[^/]+/g, '[^/]+')
        .replace('*', '.*')}$`,
    );
    for (const each of [method].flat()) routes.push({ pattern, method: each });
  });
  app.setNotFoundHandler({ preHandler: app.rateLimit() }, (request, reply) => {
    const path = request.url.split('?')[0];
    const allowed = new Set(routes.filter(({ pattern }) => pattern.test(path)).map(({ method }) => method));
    if (path.startsWith('/api/') && allowed.size > 0) {
      const allow = [...allowed].sort().join(', ');
      return send(request, reply.header('allow', allow), new HttpProblem(405, `${path} takes ${allow}.`));
    }
    if (request.method === 'GET' && page?.(path)) return reply.sendFile('index.html');
    return send(request, reply, new HttpProblem(404, `There is nothing at ${path}.`));
  });
}
