import Type from 'typebox';
import { isOnLine } from '#core/plan/reach.ts';
import { exact } from '#shared/schema.ts';
import { ShotEdit, ShotLeftOut } from '#shared/surface.ts';
import type { App, AppContext } from '../../../context.ts';
import { HttpProblem } from '../../../http-problem.ts';
import { changeProjectInputs } from '../../../project-inputs.ts';
import { cellOf } from '../../../store/cell.ts';
import { editShot } from '../../../store/shots.ts';
import { NoQuery, problems, requireProject } from '../../common.ts';

const ShotParams = exact({
  agency: Type.String(),
  project: Type.String(),
  surface: Type.String(),
  point: Type.String(),
});

/** Single shots put right by hand, where the survey has a blunder that its crew has explained. */
export function shotRoutes(app: App, context: AppContext): void {
  const path = '/agencies/:agency/projects/:project/surfaces/:surface/shots/:point';
  const schema = { tags: ['surfaces'], params: ShotParams, querystring: NoQuery };

  async function edit(
    params: { agency: string; project: string; surface: string; point: string },
    { seen, ordinal = 0, why }: ShotLeftOut,
    elevationM: number | null,
  ): Promise<void> {
    const project = await requireProject(context, params);
    const { agencyId, id: projectId } = project;
    const key = { agencyId, projectId, surfaceId: params.surface, point: params.point, ordinal };
    const cells = [cellOf(seen.eastingM, seen.northingM)];
    const changed = await changeProjectInputs(context.database, project, async (db) => {
      const role = await editShot(db, key, seen, { elevationM, why });
      return role !== null && { cells: isOnLine(role) ? cells : { near: cells } };
    });
    if (!changed) {
      throw new HttpProblem(
        409,
        `Shot "${params.point}" is not on "${params.surface}" as it was seen: look again.`,
      );
    }
  }

  app.patch(
    path,
    { schema: { ...schema, body: ShotEdit, response: { 204: Type.Null(), ...problems } } },
    async (request, reply) => {
      const { elevationM, ...seen } = request.body;
      await edit(request.params, seen, elevationM);
      return reply.code(204).send(null);
    },
  );

  app.delete(
    path,
    { schema: { ...schema, body: ShotLeftOut, response: { 204: Type.Null(), ...problems } } },
    async (request, reply) => {
      await edit(request.params, request.body, null);
      return reply.code(204).send(null);
    },
  );
}
