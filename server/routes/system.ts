import '@fastify/swagger';
import { Health, Ready, Settings } from '#shared/settings.ts';
import type { App, AppContext } from '../context.ts';
import { HttpProblem } from '../http-problem.ts';
import { answersQueries } from '../store/database.ts';
import { isMigrated } from '../store/migrate.ts';
import { NoQuery, problems } from './common.ts';

export function systemRoutes(app: App, { database, queue, basemapStyleUrl, version }: AppContext): void {
  app.get(
    '/health',
    { schema: { tags: ['system'], querystring: NoQuery, response: { 200: Health, ...problems } } },
    async () => {
      if (!(await answersQueries(database))) throw new HttpProblem(503, 'The database does not answer.');
      return { status: 'ok' as const, database: 'ok' as const };
    },
  );

  app.get(
    '/ready',
    { schema: { tags: ['system'], querystring: NoQuery, response: { 200: Ready, ...problems } } },
    async () => {
      if (!(await answersQueries(database))) throw new HttpProblem(503, 'The database does not answer.');
      if (!(await isMigrated(database))) throw new HttpProblem(503, 'The tables are not up to date.');
      if (!(await queue.isOpen())) throw new HttpProblem(503, 'The queue of jobs is closed.');
      return {
        status: 'ready' as const,
        database: 'ok' as const,
        tables: 'ok' as const,
        queue: 'ok' as const,
      };
    },
  );

  app.get(
    '/settings',
    { schema: { tags: ['system'], querystring: NoQuery, response: { 200: Settings, ...problems } } },
    async () => ({ version, basemapStyleUrl }),
  );

  app.get('/openapi.json', { schema: { hide: true, querystring: NoQuery } }, async (_request, reply) =>
    reply.type('application/vnd.oai.openapi+json;version=3.1').send(app.swagger()),
  );
}
