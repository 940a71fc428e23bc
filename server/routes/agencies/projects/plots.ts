import { ProjectPlots } from '#shared/plots.ts';
import { findChimneyLimit } from '../../../chimney-limit.ts';
import type { App, AppContext } from '../../../context.ts';
import { readPlots } from '../../../plots.ts';
import { NoQuery, ProjectParams, problems, requireProject } from '../../common.ts';

/** What the plots of a project are drawn from. */
export function plotRoutes(app: App, context: AppContext): void {
  app.get(
    '/agencies/:agency/projects/:project/plots',
    {
      schema: {
        tags: ['projects'],
        params: ProjectParams,
        querystring: NoQuery,
        response: { 200: ProjectPlots, ...problems },
      },
    },
    async (request) => {
      const project = await requireProject(context, request.params);
      const limit = await findChimneyLimit(context.database.kysely, project.agencyId, { project });
      return readPlots(context.database, project, limit);
    },
  );
}
