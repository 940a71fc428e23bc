import Type from 'typebox';
import { makeProjection } from '#core/crs/crs.ts';
import { usualMaxChimney } from '#core/register/chimney.ts';
import { CoverCard, CoverPage, CoverQuery } from '#shared/cover.ts';
import { exact } from '#shared/schema.ts';
import { bearingOf, loadBearings } from '../../../bearings.ts';
import type { App, AppContext } from '../../../context.ts';
import { readConditions, readPlace, writePlace } from '../../../cover-list.ts';
import { toNearShot, toPlan, toRow } from '../../../cover-view.ts';
import { notFound } from '../../../http-problem.ts';
import { nextAddress } from '../../../paging.ts';
import { listCoverIds } from '../../../store/cover-page.ts';
import { findCover, findCoversOf, type ProjectCover } from '../../../store/covers.ts';
import { listPlanVersions } from '../../../store/plans.ts';
import { crsOf, type ProjectHead } from '../../../store/projects.ts';
import { findRingCatalogue } from '../../../store/ring-catalogues.ts';
import { listEvents } from '../../../store/structures.ts';
import { findShotsNear } from '../../../store/surfaces.ts';
import { etagOf, NoQuery, ProjectParams, problems, requireProject } from '../../common.ts';

const CoverParams = exact({ agency: Type.String(), project: Type.String(), structure: Type.String() });

export function coverRoutes(app: App, context: AppContext): void {
  const path = '/agencies/:agency/projects/:project/covers';
  const tags = ['covers'];

  app.get(
    path,
    {
      schema: {
        tags,
        params: ProjectParams,
        querystring: CoverQuery,
        response: { 200: CoverPage, ...problems },
      },
    },
    async (request) => {
      const project = await requireProject(context, request.params);
      const { after, limit = 500, sort = 'id', direction = 'up', ...filter } = request.query;
      const order = { sort, direction };
      const key = { agencyId: project.agencyId, projectId: project.id };
      const conditions = readConditions(filter);
      const from = after === undefined ? null : readPlace(after, order);
      const { kysely } = context.database;
      const found = await listCoverIds(kysely, key, { order, conditions, after: from, limit: limit + 1 });
      const page = found.slice(0, limit);
      const covers = await findCoversOf(
        kysely,
        key,
        page.map(({ id }) => id),
      );
      const maxChimneyM = project.limits.maxChimneyM.value ?? usualMaxChimney;
      const last = found.length > limit ? page[limit - 1] : null;
      return {
        items: covers.map((cover) => toRow(cover, maxChimneyM)),
        next: nextAddress(request.url, last && writePlace(last, order)),
      };
    },
  );

  app.get(
    `${path}/:structure`,
    {
      schema: { tags, params: CoverParams, querystring: NoQuery, response: { 200: CoverCard, ...problems } },
    },
    async (request, reply) => {
      const { structure: id, ...place } = request.params;
      const project = await requireProject(context, place);
      const key = { agencyId: project.agencyId, projectId: project.id };
      const cover = await findCover(context.database.kysely, key, id);
      if (!cover) throw notFound(`cover "${id}" in project "${project.id}"`);
      reply.header('etag', etagOf(cover.structure.version));
      return readCard(context, project, cover);
    },
  );
}

async function readCard(
  { database }: AppContext,
  project: ProjectHead,
  cover: ProjectCover,
): Promise<CoverCard> {
  const db = database.kysely;
  const { structure, eastingM, northingM, outcome } = cover;
  const key = { agencyId: project.agencyId, projectId: project.id };
  const near = { east: eastingM, north: northingM, reachM: project.limits.reachLimitM.value };
  const [shots, plans, history, bearings, ringCatalogue] = await Promise.all([
    findShotsNear(db, key, near),
    listPlanVersions(db, key, structure.id),
    listEvents(db, project.agencyId, structure.id),
    loadBearings(db, key, project.limits.centreLineLimitM.value),
    project.ringCatalogueId ? findRingCatalogue(db, project.agencyId, project.ringCatalogueId) : null,
  ]);
  const { toLonLat } = makeProjection(crsOf(project.crs));
  return {
    structure,
    projectId: project.id,
    stationM: cover.stationM,
    offsetM: cover.offsetM,
    roadBearingDeg: bearingOf(cover, bearings),
    eastingM,
    northingM,
    plan: outcome && toPlan(outcome, cover.planRevision!),
    planStale: project.planStale || cover.isStale,
    fieldStatus: cover.fieldStatus,
    crew: cover.crew,
    night: cover.night,
    limits: project.limits,
    ringCatalogue,
    shots: shots.map((shot) => toNearShot(shot, toLonLat(shot.east, shot.north), outcome)),
    plans,
    history,
  };
}
