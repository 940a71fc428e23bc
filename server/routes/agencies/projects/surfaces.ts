import Type from 'typebox';
import { makeProjection } from '#core/crs/crs.ts';
import { isTreated } from '#core/plan/planInProject.ts';
import { exact } from '#shared/schema.ts';
import { ShotPage, ShotQuery, Surface, SurfaceList, SurfacePatch } from '#shared/surface.ts';
import type { App, AppContext } from '../../../context.ts';
import { badField, notFound } from '../../../http-problem.ts';
import { useOf } from '../../../jobs/plan/surfaces.ts';
import { decodeKey, nextAddress } from '../../../paging.ts';
import { changeProjectInputs } from '../../../project-inputs.ts';
import { findSurfaceCounts } from '../../../store/plans.ts';
import { crsOf, type ProjectHead } from '../../../store/projects.ts';
import {
  deleteSurface,
  findSurface,
  hasSurface,
  listShots,
  listSurfaces,
  type StoredSurface,
  updateSurface,
} from '../../../store/surfaces.ts';
import { listZones } from '../../../store/treatment-zones.ts';
import { toProjectTreatment } from '../../../treatment.ts';
import {
  changedMeanwhile,
  checkIfMatch,
  etagOf,
  NoQuery,
  ProjectParams,
  problems,
  requireProject,
} from '../../common.ts';

const SurfaceParams = exact({ agency: Type.String(), project: Type.String(), surface: Type.String() });

export function surfaceRoutes(app: App, context: AppContext): void {
  const { kysely } = context.database;
  const path = '/agencies/:agency/projects/:project/surfaces';
  const tags = ['surfaces'];

  app.get(
    path,
    {
      schema: {
        tags,
        params: ProjectParams,
        querystring: NoQuery,
        response: { 200: SurfaceList, ...problems },
      },
    },
    async (request) => {
      const project = await requireProject(context, request.params);
      const surfaces = await listSurfaces(kysely, project);
      return { items: await withUse(context, project, surfaces) };
    },
  );

  app.patch(
    `${path}/:surface`,
    {
      schema: {
        tags,
        params: SurfaceParams,
        querystring: NoQuery,
        body: SurfacePatch,
        response: { 200: Surface, ...problems },
      },
    },
    async (request, reply) => {
      const { surface: id, ...place } = request.params;
      const project = await requireProject(context, place);
      const before = await findSurface(kysely, project, id);
      if (!before) throw notFound(`surface "${id}"`);
      checkIfMatch(request.headers['if-match'], before.version);
      const patch = checkPatch(request.body, before);
      const key = { agencyId: project.agencyId, projectId: project.id };
      const changed = await changeProjectInputs(context.database, project, (db) =>
        updateSurface(db, key, before, patch),
      );
      if (!changed) throw changedMeanwhile();
      const after = { ...before, ...patch, version: before.version + 1 };
      reply.header('etag', etagOf(after.version));
      return (await withUse(context, project, [after]))[0];
    },
  );

  app.delete(
    `${path}/:surface`,
    {
      schema: {
        tags,
        params: SurfaceParams,
        querystring: NoQuery,
        response: { 204: Type.Null(), ...problems },
      },
    },
    async (request, reply) => {
      const { surface: id, ...place } = request.params;
      const project = await requireProject(context, place);
      const before = await findSurface(kysely, project, id);
      if (!before) throw notFound(`surface "${id}"`);
      checkIfMatch(request.headers['if-match'], before.version);
      const key = { agencyId: project.agencyId, projectId: project.id };
      const gone = await changeProjectInputs(context.database, project, (db) =>
        deleteSurface(db, key, before),
      );
      if (!gone) throw changedMeanwhile();
      return reply.code(204).send(null);
    },
  );

  app.get(
    `${path}/:surface/shots`,
    {
      schema: {
        tags,
        params: SurfaceParams,
        querystring: ShotQuery,
        response: { 200: ShotPage, ...problems },
      },
    },
    async (request) => {
      const { surface: surfaceId, ...place } = request.params;
      const project = await requireProject(context, place);
      const { agencyId, id: projectId } = project;
      if (!(await hasSurface(kysely, { agencyId, projectId, surfaceId })))
        throw notFound(`surface "${surfaceId}"`);
      const { after: text, limit = 500 } = request.query;
      const after = text === undefined ? null : decodeKey(text, ['number', 'string', 'number']);
      const { items, last } = await listShots(kysely, { agencyId, projectId, surfaceId }, { after, limit });
      const { toLonLat } = makeProjection(crsOf(project.crs));
      return {
        items: items.map(({ east, north, elevation, sigma, point, code, role }) => {
          const [lon, lat] = toLonLat(east, north);
          return {
            point,
            eastingM: east,
            northingM: north,
            lon,
            lat,
            elevationM: elevation,
            code,
            role,
            sigmaM: sigma,
          };
        }),
        next: nextAddress(request.url, last),
      };
    },
  );
}

/** Only the top of a lift has a number, and a day is one of the calendar. Throws a problem. */
function checkPatch(patch: SurfacePatch, before: StoredSurface): SurfacePatch {
  const stage = patch.stage ?? before.stage;
  if (stage !== 'lift' && patch.lift != null)
    throw badField('/lift', `belongs to a surface of the stage lift, not ${stage}`, patch.lift);
  const { epoch } = patch;
  const at = epoch == null ? Number.NaN : Date.parse(epoch);
  if (epoch != null && (Number.isNaN(at) || new Date(at).toISOString().slice(0, 10) !== epoch))
    throw badField('/epoch', 'is no day of the calendar', epoch);
  return stage === 'lift' ? patch : { ...patch, lift: null };
}

/** What plans make of surfaces by the rule in force, and what the plan in force made of them. */
async function withUse(
  { database }: AppContext,
  project: ProjectHead,
  surfaces: readonly StoredSurface[],
): Promise<Surface[]> {
  const key = { agencyId: project.agencyId, projectId: project.id };
  const treatment = toProjectTreatment(project, await listZones(database.kysely, key));
  const rule = { finishedFrom: project.limits.finishedFrom.value, treated: isTreated(treatment) };
  const counts = await findSurfaceCounts(database.kysely, project);
  return surfaces.map((surface) => ({
    ...surface,
    use: surface.shotCount + surface.faceCount > 0 ? useOf(surface, rule) : 'none',
    coverCount: counts[surface.id] ?? 0,
  }));
}
