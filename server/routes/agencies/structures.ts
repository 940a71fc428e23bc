import Type from 'typebox';
import { exact } from '#shared/schema.ts';
import {
  Structure,
  StructureCard,
  StructureCreate,
  StructurePage,
  StructurePatch,
  StructureQuery,
} from '#shared/structure.ts';
import type { App, AppContext } from '../../context.ts';
import { badField, HttpProblem, notFound } from '../../http-problem.ts';
import { decodeKey, nextAddress } from '../../paging.ts';
import { changeStructure, createStructure, undoEdit } from '../../register.ts';
import { findProjectHead } from '../../store/projects.ts';
import { findStructure, listEvents, listStructures } from '../../store/structures.ts';
import {
  AgencyParams,
  changedMeanwhile,
  checkIfMatch,
  etagOf,
  NoQuery,
  problems,
  requireAgency,
} from '../common.ts';

const StructureParams = exact({ agency: Type.String(), structure: Type.String() });
const path = '/agencies/:agency/structures';
const tags = ['structures'];

export function structureRoutes(app: App, context: AppContext): void {
  readRoutes(app, context);
  writeRoutes(app, context);
  undoRoute(app, context);
}

function readRoutes(app: App, context: AppContext): void {
  const { kysely } = context.database;

  app.get(
    path,
    {
      schema: {
        tags,
        params: AgencyParams,
        querystring: StructureQuery,
        response: { 200: StructurePage, ...problems },
      },
    },
    async (request) => {
      const agency = await requireAgency(context, request.params.agency);
      const { after, limit = 100, ...filter } = request.query;
      const key = after === undefined ? null : decodeKey(after, ['string'])[0];
      const { items, last } = await listStructures(kysely, agency.id, { ...filter, limit, after: key });
      return { items, next: nextAddress(request.url, last === null ? null : [last]) };
    },
  );

  app.get(
    `${path}/:structure`,
    {
      schema: {
        tags,
        params: StructureParams,
        querystring: NoQuery,
        response: { 200: StructureCard, ...problems },
      },
    },
    async (request, reply) => {
      const { agency, structure: id } = request.params;
      const structure = await findStructure(kysely, agency, id);
      if (!structure) throw notFound(`structure "${id}"`);
      reply.header('etag', etagOf(structure.version));
      return { ...structure, history: await listEvents(kysely, agency, id) };
    },
  );
}

function writeRoutes(app: App, context: AppContext): void {
  app.post(
    path,
    {
      schema: {
        tags,
        params: AgencyParams,
        querystring: NoQuery,
        body: StructureCreate,
        response: { 201: Structure, ...problems },
      },
    },
    async (request, reply) => {
      const agency = await requireAgency(context, request.params.agency);
      const { projectId } = request.body;
      const project =
        projectId === undefined ? null : await findProjectHead(context.database.kysely, agency.id, projectId);
      if (projectId !== undefined && !project)
        throw badField('/projectId', 'is no project of this agency', projectId);
      const created = await createStructure(context.database, agency.id, request.body, project);
      if (!created) throw new HttpProblem(409, `There is a structure "${request.body.id}" already.`);
      reply
        .code(201)
        .header('etag', etagOf(created.version))
        .header('location', `/api/agencies/${agency.id}/structures/${encodeURIComponent(created.id)}`);
      return created;
    },
  );

  app.patch(
    `${path}/:structure`,
    {
      schema: {
        tags,
        params: StructureParams,
        querystring: NoQuery,
        body: StructurePatch,
        response: { 200: Structure, ...problems },
      },
    },
    async (request, reply) => {
      const { agency, structure: id } = request.params;
      const before = await findStructure(context.database.kysely, agency, id);
      if (!before) throw notFound(`structure "${id}"`);
      checkIfMatch(request.headers['if-match'], before.version);
      const after = await changeStructure(context.database, agency, before, request.body);
      if (!after) throw changedMeanwhile();
      reply.header('etag', etagOf(after.version));
      return after;
    },
  );
}

function undoRoute(app: App, context: AppContext): void {
  app.post(
    `${path}/:structure/history/:event/undo`,
    {
      schema: {
        tags,
        params: exact({ ...StructureParams.properties, event: Type.Integer({ minimum: 1 }) }),
        querystring: NoQuery,
        response: { 200: Structure, ...problems },
      },
    },
    async (request, reply) => {
      const { agency, structure: structureId, event: eventId } = request.params;
      const undo = await undoEdit(context.database, agency, { structureId, eventId });
      if (undo.outcome === 'noEdit') throw notFound(`change ${eventId} of structure "${structureId}"`);
      if (undo.outcome === 'changedSince') {
        throw new HttpProblem(409, 'Somebody changed it since: nothing was undone.', {
          errors: undo.fields.map(({ field, made, is }) => ({
            path: `/${field}`,
            message: `was made ${JSON.stringify(made)} and is ${JSON.stringify(is)} now`,
            value: is,
          })),
        });
      }
      reply.header('etag', etagOf(undo.structure.version));
      return undo.structure;
    },
  );
}
