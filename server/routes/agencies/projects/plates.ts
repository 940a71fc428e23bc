import { stateOfCover } from '#core/field/coverState.ts';
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
      const items = rows.flatMap(({ platedAt: _platedAt, ...row }) => {
        const of = records.get(row.structureId) ?? [];
        const { plates } = stateOfCover(of, { sent: false, limits: { proud: 0, low: 0 } });
        return plates.map(({ plate, since, by, ties }): Plate => ({ ...row, plate, since, by, ties }));
      });
      return { items };
    },
  );
}
