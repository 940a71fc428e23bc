import type { FastifyReply } from 'fastify';
import Type from 'typebox';
import type { RingCatalogue } from '#shared/ring-catalogue.ts';
import { RingSupplies, RingSuppliesPatch } from '#shared/ring-supply.ts';
import { exact } from '#shared/schema.ts';
import type { App, AppContext } from '../../context.ts';
import { HttpProblem, notFound } from '../../http-problem.ts';
import { findRingCatalogue } from '../../store/ring-catalogues.ts';
import { changeSupplies, findSupplies, type SuppliesInForce } from '../../supply/ring-supplies.ts';
import {
  changedMeanwhile,
  checkIfMatch,
  etagOf,
  NoQuery,
  ProjectParams,
  problems,
  requireAgency,
  requireProject,
} from '../common.ts';

const CatalogueParams = exact({ agency: Type.String(), catalogue: Type.String() });

interface Place {
  owner: { agencyId: string; projectId: string | null };
  catalogue: RingCatalogue;
}

/** Packs, spares and stock of rings: an agency's own for each catalogue, and a project's in their place. */
export function ringSupplyRoutes(app: App, context: AppContext): void {
  const { kysely } = context.database;
  const tags = ['ring supplies'];
  const read = { tags, querystring: NoQuery, response: { 200: RingSupplies, ...problems } };
  const write = { ...read, body: RingSuppliesPatch };
  const ofAgency = '/agencies/:agency/ring-catalogues/:catalogue/supplies';
  const ofProject = '/agencies/:agency/projects/:project/ring-supplies';

  const get = async ({ owner, catalogue }: Place, reply: FastifyReply) =>
    answer(reply, await findSupplies(kysely, owner, catalogue));

  const change = async (
    { owner, catalogue }: Place,
    patch: RingSuppliesPatch,
    { ifMatch, reply }: { ifMatch: string | undefined; reply: FastifyReply },
  ) => {
    const { supplies, own: before } = await findSupplies(kysely, owner, catalogue);
    checkIfMatch(ifMatch, tagOf({ supplies, own: before }));
    const isChanged = await kysely
      .transaction()
      .execute((db) => changeSupplies(db, owner, catalogue, { before, patch }));
    if (!isChanged) throw changedMeanwhile();
    return get({ owner, catalogue }, reply);
  };

  app.get(ofAgency, { schema: { ...read, params: CatalogueParams } }, async (request, reply) =>
    get(await findCatalogue(context, request.params), reply),
  );
  app.patch(ofAgency, { schema: { ...write, params: CatalogueParams } }, async (request, reply) => {
    const place = await findCatalogue(context, request.params);
    return change(place, request.body, { ifMatch: request.headers['if-match'], reply });
  });
  app.get(ofProject, { schema: { ...read, params: ProjectParams } }, async (request, reply) =>
    get(await findOfProject(context, request.params), reply),
  );
  app.patch(ofProject, { schema: { ...write, params: ProjectParams } }, async (request, reply) => {
    const place = await findOfProject(context, request.params);
    return change(place, request.body, { ifMatch: request.headers['if-match'], reply });
  });
}

/** A project that took another catalogue meanwhile has other figures too. */
const tagOf = ({ supplies, own }: SuppliesInForce) => `${supplies.ringCatalogueId}-${own.version}`;

function answer(reply: FastifyReply, found: SuppliesInForce): RingSupplies {
  reply.header('etag', etagOf(tagOf(found)));
  return found.supplies;
}

async function findCatalogue(
  context: AppContext,
  params: { agency: string; catalogue: string },
): Promise<Place> {
  const agency = await requireAgency(context, params.agency);
  const catalogue = await findRingCatalogue(context.database.kysely, agency.id, params.catalogue);
  if (!catalogue) throw notFound(`ring catalogue "${params.catalogue}"`);
  return { owner: { agencyId: agency.id, projectId: null }, catalogue };
}

async function findOfProject(
  context: AppContext,
  params: { agency: string; project: string },
): Promise<Place> {
  const { agencyId, id, ringCatalogueId } = await requireProject(context, params);
  const catalogue =
    ringCatalogueId && (await findRingCatalogue(context.database.kysely, agencyId, ringCatalogueId));
  if (!catalogue) throw new HttpProblem(422, 'The project has no ring catalogue: choose one first.');
  return { owner: { agencyId, projectId: id }, catalogue };
}
