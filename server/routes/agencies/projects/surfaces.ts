import Type from 'typebox';
import { makeProjection } from '#core/crs/crs.ts';
import { exact } from '#shared/schema.ts';
import { ShotPage, ShotQuery, SurfaceList } from '#shared/surface.ts';
import type { App, AppContext } from '../../../context.ts';
import { notFound } from '../../../http-problem.ts';
import { decodeKey, nextAddress } from '../../../paging.ts';
import { crsOf } from '../../../store/projects.ts';
import { findSurface, listShots, listSurfaces } from '../../../store/surfaces.ts';
import { NoQuery, ProjectParams, problems, requireProject } from '../../common.ts';

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
      return { items: await listSurfaces(kysely, project.agencyId, project.id) };
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
      if (!(await findSurface(kysely, agencyId, projectId, surfaceId)))
        throw notFound(`surface "${surfaceId}"`);
      const { after: text, limit = 500 } = request.query;
      const after = text === undefined ? null : decodeKey(text, ['string', 'number']);
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
