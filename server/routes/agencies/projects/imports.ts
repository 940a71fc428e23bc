import {
  ImportBatchList,
  ImportListQuery,
  ImportReport,
  ShotImportQuery,
  StructureImportQuery,
} from '#shared/import.ts';
import { type ImportState, importStates } from '#shared/staged-import.ts';
import type { App, AppContext } from '../../../context.ts';
import { badField } from '../../../http-problem.ts';
import { readUpload } from '../../../imports/file.ts';
import { importShotFile } from '../../../imports/shots.ts';
import { importStructureFile } from '../../../imports/structures.ts';
import { listBatches } from '../../../store/imports/batches.ts';
import { ProjectParams, problems, requireProject } from '../../common.ts';

export function importRoutes(app: App, context: AppContext): void {
  const path = '/agencies/:agency/projects/:project/imports';
  const tags = ['imports'];
  const response = { 200: ImportReport, ...problems };
  const consumes = ['multipart/form-data'];

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

  app.post(
    `${path}/structures`,
    { schema: { tags, consumes, params: ProjectParams, querystring: StructureImportQuery, response } },
    async (request) => {
      const project = await requireProject(context, request.params);
      const file = await readUpload(request);
      return importStructureFile(context.database, project, file, request.query.mode);
    },
  );

  app.post(
    `${path}/shots`,
    { schema: { tags, consumes, params: ProjectParams, querystring: ShotImportQuery, response } },
    async (request) => {
      const project = await requireProject(context, request.params);
      const file = await readUpload(request);
      return importShotFile(context.database, project, file, request.query);
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
