import Type from 'typebox';
import { AssignBody, AssignResult, AssignUndo } from '#shared/assignment.ts';
import { exact } from '#shared/schema.ts';
import { assignCovers, undoAssign } from '../../../assign.ts';
import type { App, AppContext } from '../../../context.ts';
import { NoQuery, ProjectParams, problems, requireProject } from '../../common.ts';

/** Covers in bulk: a selection of them gets a crew and a night, or becomes part of the project. */
export function assignmentRoutes(app: App, context: AppContext): void {
  const path = '/agencies/:agency/projects/:project/covers/assign';
  const tags = ['covers'];

  app.post(
    path,
    {
      schema: {
        tags,
        params: ProjectParams,
        querystring: NoQuery,
        body: AssignBody,
        response: { 200: AssignResult, ...problems },
      },
    },
    async (request) =>
      assignCovers(context.database, await requireProject(context, request.params), request.body),
  );

  app.post(
    `${path}/:assignment/undo`,
    {
      schema: {
        tags,
        params: exact({ ...ProjectParams.properties, assignment: Type.String({ format: 'uuid' }) }),
        querystring: NoQuery,
        response: { 200: AssignUndo, ...problems },
      },
    },
    async (request) => {
      const { assignment, ...place } = request.params;
      return undoAssign(context.database, await requireProject(context, place), assignment);
    },
  );
}
