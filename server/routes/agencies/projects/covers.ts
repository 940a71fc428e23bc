import Type from 'typebox';
import { usualMaxChimney } from '#core/register/chimney.ts';
import { Acceptance } from '#shared/acceptance.ts';
import { CoverCard, CoverPage, CoverQuery } from '#shared/cover.ts';
import { exact } from '#shared/schema.ts';
import { bearingOf, loadBearings } from '../../../bearings.ts';
import type { App, AppContext } from '../../../context.ts';
import { readCards } from '../../../cover-card.ts';
import { readCoverPage } from '../../../cover-pages.ts';
import { toRow } from '../../../cover-view.ts';
import { acceptanceOf } from '../../../field/acceptance.ts';
import { notFound } from '../../../http-problem.ts';
import { findCover, findCoversOf } from '../../../store/covers.ts';
import { findRecordsOf } from '../../../store/field/records.ts';
import { findVacuumTable } from '../../../store/field/vacuum-tables.ts';
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
      const key = { agencyId: project.agencyId, projectId: project.id };
      const { url, query } = request;
      const { ids, next, previous } = await readCoverPage(context.database, key, { url, query });
      const covers = await findCoversOf(context.database.kysely, key, ids);
      const maxChimneyM = project.limits.maxChimneyM.value ?? usualMaxChimney;
      return { items: covers.map((cover) => toRow(cover, maxChimneyM)), next, previous };
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
      const [card] = await readCards(context, project, [cover]);
      return card;
    },
  );

  app.get(
    `${path}/:structure/acceptance`,
    {
      schema: { tags, params: CoverParams, querystring: NoQuery, response: { 200: Acceptance, ...problems } },
    },
    async (request) => {
      const { structure: id, ...place } = request.params;
      const project = await requireProject(context, place);
      const key = { agencyId: project.agencyId, projectId: project.id };
      const { kysely } = context.database;
      const tableId = project.limits.vacuumTableId.value;
      const [cover, records, bearings, vacuumTable] = await Promise.all([
        findCover(kysely, key, id),
        findRecordsOf(kysely, key, [id]),
        loadBearings(kysely, project),
        tableId === null ? null : findVacuumTable(kysely, project.agencyId, tableId),
      ]);
      if (!cover) throw notFound(`cover "${id}" in project "${project.id}"`);
      const bearingDeg = bearingOf(cover, bearings);
      const now = new Date().toISOString();
      return acceptanceOf(project, { cover, records, bearingDeg, vacuumTable, now });
    },
  );
}
