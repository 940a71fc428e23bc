import type { FastifyReply } from 'fastify';
import Type from 'typebox';
import { exact } from '#shared/schema.ts';
import {
  TreatmentZone,
  TreatmentZoneCreate,
  TreatmentZoneList,
  TreatmentZonePatch,
} from '#shared/treatment.ts';
import type { App, AppContext } from '../../../context.ts';
import { HttpProblem, notFound } from '../../../http-problem.ts';
import { changeProjectInputs } from '../../../project-inputs.ts';
import { listCoverPlaces } from '../../../store/covers.ts';
import type { ProjectHead } from '../../../store/projects.ts';
import {
  deleteZone,
  findZone,
  insertZone,
  listZones,
  type StoredZone,
  updateZone,
} from '../../../store/treatment-zones.ts';
import { toGrid, toZone } from '../../../treatment.ts';
import {
  changedMeanwhile,
  checkIfMatch,
  etagOf,
  NoQuery,
  ProjectParams,
  problems,
  requireProject,
} from '../../common.ts';

const ZoneParams = exact({ agency: Type.String(), project: Type.String(), zone: Type.String() });
const path = '/agencies/:agency/projects/:project/treatment-zones';
const tags = ['treatment zones'];

export function treatmentZoneRoutes(app: App, context: AppContext): void {
  readRoutes(app, context);
  createRoute(app, context);
  changeRoutes(app, context);
}

function readRoutes(app: App, context: AppContext): void {
  const { kysely } = context.database;

  app.get(
    path,
    {
      schema: {
        tags,
        params: ProjectParams,
        querystring: NoQuery,
        response: { 200: TreatmentZoneList, ...problems },
      },
    },
    async (request) => {
      const project = await requireProject(context, request.params);
      const key = keyOf(project);
      const covers = await listCoverPlaces(kysely, key);
      return { items: (await listZones(kysely, key)).map((zone) => toZone(zone, project, covers)) };
    },
  );

  app.get(
    `${path}/:zone`,
    {
      schema: {
        tags,
        params: ZoneParams,
        querystring: NoQuery,
        response: { 200: TreatmentZone, ...problems },
      },
    },
    async (request, reply) => {
      const { project, zone } = await requireZone(context, request.params);
      return sendZone(context, reply, { project, zone });
    },
  );
}

function createRoute(app: App, context: AppContext): void {
  app.post(
    path,
    {
      schema: {
        tags,
        params: ProjectParams,
        querystring: NoQuery,
        body: TreatmentZoneCreate,
        response: { 201: TreatmentZone, ...problems },
      },
    },
    async (request, reply) => {
      const project = await requireProject(context, request.params);
      const { geometry, ...given } = request.body;
      const zone: StoredZone = {
        setDownM: null,
        millClearanceM: null,
        maxRiserM: null,
        ...given,
        polygons: toGrid(geometry, project),
        version: 1,
      };
      const inserted = await changeProjectInputs(context.database, project, (db) =>
        insertZone(db, keyOf(project), zone),
      );
      if (!inserted) throw new HttpProblem(409, `There is a treatment zone "${zone.id}" already.`);
      const { agencyId, id } = project;
      reply
        .code(201)
        .header('location', `/api/agencies/${agencyId}/projects/${id}/treatment-zones/${zone.id}`);
      return sendZone(context, reply, { project, zone });
    },
  );
}

function changeRoutes(app: App, context: AppContext): void {
  app.patch(
    `${path}/:zone`,
    {
      schema: {
        tags,
        params: ZoneParams,
        querystring: NoQuery,
        body: TreatmentZonePatch,
        response: { 200: TreatmentZone, ...problems },
      },
    },
    async (request, reply) => {
      const { project, zone: before } = await requireZone(context, request.params);
      checkIfMatch(request.headers['if-match'], before.version);
      const { geometry, ...patch } = request.body;
      const polygons = geometry ? toGrid(geometry, project) : before.polygons;
      const after = { ...before, ...patch, polygons };
      const changed = await changeProjectInputs(context.database, project, (db) =>
        updateZone(db, keyOf(project), after),
      );
      if (!changed) throw changedMeanwhile();
      return sendZone(context, reply, { project, zone: { ...after, version: before.version + 1 } });
    },
  );

  app.delete(
    `${path}/:zone`,
    {
      schema: {
        tags,
        params: ZoneParams,
        querystring: NoQuery,
        response: { 204: Type.Null(), ...problems },
      },
    },
    async (request, reply) => {
      const { project, zone } = await requireZone(context, request.params);
      checkIfMatch(request.headers['if-match'], zone.version);
      const gone = await changeProjectInputs(context.database, project, (db) =>
        deleteZone(db, keyOf(project), zone),
      );
      if (!gone) throw changedMeanwhile();
      return reply.code(204).send(null);
    },
  );
}

const keyOf = ({ agencyId, id }: ProjectHead) => ({ agencyId, projectId: id });

async function requireZone(
  context: AppContext,
  { zone: id, ...place }: { agency: string; project: string; zone: string },
): Promise<{ project: ProjectHead; zone: StoredZone }> {
  const project = await requireProject(context, place);
  const zone = await findZone(context.database.kysely, keyOf(project), id);
  if (!zone) throw notFound(`treatment zone "${id}" in project "${project.id}"`);
  return { project, zone };
}

async function sendZone(
  { database }: AppContext,
  reply: FastifyReply,
  { project, zone }: { project: ProjectHead; zone: StoredZone },
): Promise<TreatmentZone> {
  reply.header('etag', etagOf(zone.version));
  return toZone(zone, project, await listCoverPlaces(database.kysely, keyOf(project)));
}
