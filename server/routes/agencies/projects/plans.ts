import { Job } from '#shared/job.ts';
import type { App, AppContext } from '../../../context.ts';
import { requestPlan } from '../../../jobs/request.ts';
import { NoQuery, ProjectParams, problems, requireProject } from '../../common.ts';

export function planRoutes(app: App, context: AppContext): void {
  app.post(
    '/agencies/:agency/projects/:project/plans',
    {
      schema: {
        tags: ['plans'],
        params: ProjectParams,
        querystring: NoQuery,
        response: { 202: Job, ...problems },
      },
    },
    async (request, reply) => {
      const { agencyId, id: projectId } = await requireProject(context, request.params);
      const job = await requestPlan(context, { agencyId, projectId });
      reply.code(202).header('location', `/api/agencies/${agencyId}/jobs/${job.id}`);
      return job;
    },
  );
}
