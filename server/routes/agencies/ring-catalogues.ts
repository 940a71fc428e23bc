import Type from 'typebox';
import { makeSolver } from '#core/stack/solve.ts';
import { RingCatalogue, RingCatalogueList } from '#shared/ring-catalogue.ts';
import { exact } from '#shared/schema.ts';
import { toCatalogue } from '../../catalogue.ts';
import type { App, AppContext } from '../../context.ts';
import { badField, HttpProblem, notFound } from '../../http-problem.ts';
import { databaseErrorCode } from '../../store/database.ts';
import { findRingCatalogue, insertRingCatalogue, listRingCatalogues } from '../../store/ring-catalogues.ts';
import { AgencyParams, NoQuery, problems, requireAgency } from '../common.ts';

const CatalogueParams = exact({ agency: Type.String(), catalogue: Type.String() });
const uniqueViolation = '23505';

export function ringCatalogueRoutes(app: App, context: AppContext): void {
  const { kysely } = context.database;
  const path = '/agencies/:agency/ring-catalogues';
  const tags = ['ring catalogues'];

  app.get(
    path,
    {
      schema: {
        tags,
        params: AgencyParams,
        querystring: NoQuery,
        response: { 200: RingCatalogueList, ...problems },
      },
    },
    async (request) => {
      const agency = await requireAgency(context, request.params.agency);
      return { items: await listRingCatalogues(kysely, agency.id) };
    },
  );

  app.get(
    `${path}/:catalogue`,
    {
      schema: {
        tags,
        params: CatalogueParams,
        querystring: NoQuery,
        response: { 200: RingCatalogue, ...problems },
      },
    },
    async (request) => {
      const agency = await requireAgency(context, request.params.agency);
      const found = await findRingCatalogue(kysely, agency.id, request.params.catalogue);
      if (!found) throw notFound(`ring catalogue "${request.params.catalogue}"`);
      return found;
    },
  );

  app.post(
    path,
    {
      schema: {
        tags,
        params: AgencyParams,
        querystring: NoQuery,
        body: RingCatalogue,
        response: { 201: RingCatalogue, ...problems },
      },
    },
    async (request, reply) => {
      const agency = await requireAgency(context, request.params.agency);
      const catalogue = request.body;
      checkRings(catalogue);
      try {
        await kysely.transaction().execute((db) => insertRingCatalogue(db, agency.id, catalogue));
      } catch (error) {
        if (databaseErrorCode(error) !== uniqueViolation) throw error;
        throw new HttpProblem(409, `There is a ring catalogue "${catalogue.id}" already.`);
      }
      reply.code(201).header('location', `/api/agencies/${agency.id}/ring-catalogues/${catalogue.id}`);
      return catalogue;
    },
  );
}

function checkRings(catalogue: RingCatalogue): void {
  const seen = new Set<string>();
  catalogue.rings.forEach(({ id, thinM, thickM }, index) => {
    if (thinM > thickM) throw badField(`/rings/${index}/thinM`, 'is above thickM', thinM);
    if (seen.has(id)) throw badField(`/rings/${index}/id`, 'is the id of an earlier ring', id);
    seen.add(id);
  });
  try {
    makeSolver(toCatalogue(catalogue));
  } catch (error) {
    if (error instanceof RangeError) throw badField('/rings', error.message);
    throw error;
  }
}
