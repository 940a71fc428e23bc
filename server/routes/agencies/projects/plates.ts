import { standing } from '#core/field/state.ts';
import { type Plate, PlateList } from '#shared/plate.ts';
import type { App, AppContext } from '../../../context.ts';
import { listPlated } from '../../../store/field/covers.ts';
import { findRecordsOf } from '../../../store/field/records.ts';
import { NoQuery, ProjectParams, problems, requireProject } from '../../common.ts';

/** What is under a plate: the list that must never be forgotten. */
export function plateRoutes(app: App, context: AppContext): void {
  app.get(
    '/agencies/:agency/projects/:project/plates',
    {
      schema: {
        tags: ['field'],
        params: ProjectParams,
        querystring: NoQuery,
        response: { 200: PlateList, ...problems },
      },
    },
    async (request) => {
      const { agencyId, id: projectId } = await requireProject(context, request.params);
      const { kysely } = context.database;
      const rows = await listPlated(kysely, { agencyId, projectId });
      const ids = rows.map(({ structureId }) => structureId);
      const records = Map.groupBy(
        await findRecordsOf(kysely, { agencyId, projectId }, ids),
        ({ structureId }) => structureId,
      );
      const items = rows.map(({ platedAt, ...row }): Plate => {
        const held = standing(records.get(row.structureId) ?? []);
        const record = held.findLast(({ kind }) => kind === 'plated');
        const ties = record?.kind === 'plated' ? record.facts.ties : [];
        return { ...row, since: platedAt.toISOString(), by: record?.by ?? '', ties };
      });
      return { items };
    },
  );
}
