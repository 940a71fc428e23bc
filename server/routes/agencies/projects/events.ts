import type { App, AppContext } from '../../../context.ts';
import { openEventStream } from '../../../plugins/event-stream.ts';
import { NoQuery, ProjectParams, problems, requireProject } from '../../common.ts';

export function projectEventRoutes(app: App, context: AppContext): void {
  app.get(
    '/agencies/:agency/projects/:project/events',
    { schema: { tags: ['projects'], params: ProjectParams, querystring: NoQuery, response: problems } },
    async (request, reply) => {
      const { agencyId, id: projectId } = await requireProject(context, request.params);
      const stream = openEventStream(request, reply);
      const tell = async (): Promise<void> => {
        const { inputRevision, planRevision } = await requireProject(context, request.params);
        stream.send('revision', { projectId, inputRevision, planRevision });
      };
      const lookAgain = (): void => {
        tell().catch((error) => request.log.error(error));
      };
      const end = context.notices.subscribe((notice) => {
        if (notice.kind !== 'project' || notice.agencyId !== agencyId || notice.projectId !== projectId)
          return;
        const { inputRevision, planRevision } = notice;
        stream.send('revision', { projectId, inputRevision, planRevision });
      }, lookAgain);
      stream.onClose(end);
      // Said once on opening too: a reader that lost its connection sees what it missed.
      await tell();
      return reply;
    },
  );
}
