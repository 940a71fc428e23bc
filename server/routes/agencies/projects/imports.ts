import { ImportBatchList, ImportListQuery } from '#shared/import.ts';
import { type ImportState, importStates } from '#shared/staged-import.ts';
import type { App, AppContext } from '../../../context.ts';
import { badField } from '../../../http-problem.ts';
import { listBatches } from '../../../store/imports/batches.ts';
import { ProjectParams, problems, requireProject } from '../../common.ts';

export function importRoutes(app: App, context: AppContext): void {
  const path = '/agencies/:agency/projects/:project/imports';
  const tags = ['imports'];

  app.get(
    path,
    {
      schema: {
        tags,
        params: ProjectParams,
        querystring: ImportListQuery,
        response: { 200: ImportBatchList, ...problems },
      },
    },
    async (request) => {
      const { agencyId, id } = await requireProject(context, request.params);
      const states = readStates(request.query.states);
      return { items: await listBatches(context.database.kysely, agencyId, id, states) };
    },
  );
}

function readStates(text: string | undefined): ImportState[] | undefined {
  if (text === undefined) return undefined;
  const states = text.split(',');
  const unknown = states.find((state) => !(importStates as readonly string[]).includes(state));
  if (unknown !== undefined)
    throw badField('/states', `"${unknown}" is none of ${importStates.join(', ')}`, text);
  return states as ImportState[];
}
