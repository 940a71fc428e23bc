import { CrewNight, CrewNightList, CrewNightQuery } from '#shared/crew-night.ts';
import type { App, AppContext } from '../../../context.ts';
import { readCrewNight } from '../../../field/night.ts';
import { badField } from '../../../http-problem.ts';
import { listCrewNights } from '../../../store/field/nights.ts';
import { etagOf, NoQuery, ProjectParams, problems, requireProject } from '../../common.ts';

/** What crews have to do, and all that a phone takes along to a place without a signal. */
export function crewNightRoutes(app: App, context: AppContext): void {
  const path = '/agencies/:agency/projects/:project';
  const tags = ['field'];

  app.get(
    `${path}/crew-nights`,
    {
      schema: {
        tags,
        params: ProjectParams,
        querystring: NoQuery,
        response: { 200: CrewNightList, ...problems },
      },
    },
    async (request) => {
      const { agencyId, id: projectId } = await requireProject(context, request.params);
      return { items: await listCrewNights(context.database.kysely, { agencyId, projectId }) };
    },
  );

  app.get(
    `${path}/crew-night`,
    {
      schema: {
        tags,
        params: ProjectParams,
        querystring: CrewNightQuery,
        response: { 200: CrewNight, ...problems },
      },
    },
    async (request, reply) => {
      const project = await requireProject(context, request.params);
      const { night } = request.query;
      if (night !== '' && !isDay(night)) throw badField('/night', 'is no day', night);
      const { bundle, tag } = await readCrewNight(context, project, request.query);
      reply.header('etag', etagOf(tag)).header('cache-control', 'private, no-cache');
      if (request.headers['if-none-match'] === etagOf(tag)) return reply.code(304).send(null as never);
      return bundle as never;
    },
  );
}

/** A day that the calendar has: 30 February is none. */
function isDay(text: string): boolean {
  const at = new Date(`${text}T00:00:00Z`);
  return !Number.isNaN(at.getTime()) && at.toISOString().startsWith(text);
}
