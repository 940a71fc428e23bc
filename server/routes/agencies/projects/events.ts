import type { RecordsCame } from '#shared/field-record.ts';
import type { App, AppContext } from '../../../context.ts';
import { openEventStream } from '../../../plugins/event-stream.ts';
import { findLastSeq } from '../../../store/field/records.ts';
import { NoQuery, ProjectParams, problems, requireProject } from '../../common.ts';

export function projectEventRoutes(app: App, context: AppContext): void {
  app.get(
    '/agencies/:agency/projects/:project/events',
    { schema: { tags: ['projects'], params: ProjectParams, querystring: NoQuery, response: problems } },
    async (request, reply) => {
      const { agencyId, id: projectId } = await requireProject(context, request.params);
      const stream = openEventStream(request, reply);
      const tell = async (): Promise<void> => {
        if (!stream.isOpen) return;
        const { inputRevision, planRevision } = await requireProject(context, request.params);
        stream.send('revision', { projectId, inputRevision, planRevision });
        if (!stream.isOpen) return;
        const lastSeq = await findLastSeq(context.database.kysely, { agencyId, projectId });
        const came: RecordsCame = { projectId, lastSeq, structureIds: [] };
        if (lastSeq > 0) stream.send('record', came);
      };
      const lookAgain = (): void => {
        tell().catch((error) => request.log.error(error));
      };
      const end = context.notices.subscribe((notice) => {
        if (notice.kind !== 'project' && notice.kind !== 'record') return;
        if (notice.agencyId !== agencyId || notice.projectId !== projectId) return;
        if (notice.kind === 'record') {
          const { lastSeq, structureIds } = notice;
          stream.send('record', { projectId, lastSeq, structureIds } satisfies RecordsCame);
          return;
        }
        const { inputRevision, planRevision, byRecords } = notice;
        stream.send('revision', { projectId, inputRevision, planRevision, byRecords });
      }, lookAgain);
      stream.onClose(end);
      // Said once on opening too: a reader that lost its connection sees what it missed.
      await tell();
      return reply;
    },
  );
}
