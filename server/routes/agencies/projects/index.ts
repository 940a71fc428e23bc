import { randomUUID } from 'node:crypto';
import type { FastifyReply } from 'fastify';
import type { Kysely } from 'kysely';
import { makeProjection } from '#core/crs/crs.ts';
import { Job } from '#shared/job.ts';
import { Project, ProjectCreate, ProjectHoldings, ProjectPage, ProjectPatch } from '#shared/project.ts';
import { plannedRope } from '../../../acceptance-limits.ts';
import { checkChimneyLimit } from '../../../chimney-limit.ts';
import type { App, AppContext } from '../../../context.ts';
import { findCrs } from '../../../crs/epsg.ts';
import { judgeAgain } from '../../../field/effects.ts';
import { badField, HttpProblem, notFound } from '../../../http-problem.ts';
import { checkZone } from '../../../site-limits.ts';
import { findAgency } from '../../../store/agencies.ts';
import { notifyProject } from '../../../store/notices.ts';
import { touchProjectInputs } from '../../../store/plan/changes.ts';
import { lockProject } from '../../../store/plans.ts';
import { beginDeletion, findDeletion, findHindrance, findHoldings } from '../../../store/project-deletion.ts';
import {
  findProject,
  findProjectHead,
  insertProject,
  listProjects,
  type ProjectHead,
  updateProject,
} from '../../../store/projects.ts';
import { findRingCatalogue } from '../../../store/ring-catalogues.ts';
import type { Tables } from '../../../store/tables.ts';
import {
  AgencyParams,
  changedMeanwhile,
  checkIfMatch,
  etagOf,
  NoQuery,
  ProjectParams,
  problems,
  requireAgency,
  requireAnyProject,
  requireProject,
} from '../../common.ts';

const path = '/agencies/:agency/projects';
const tags = ['projects'];

export function projectRoutes(app: App, context: AppContext): void {
  readRoutes(app, context);
  writeRoutes(app, context);
  deletionRoutes(app, context);
}

function readRoutes(app: App, context: AppContext): void {
  app.get(
    path,
    {
      schema: {
        tags,
        params: AgencyParams,
        querystring: NoQuery,
        response: { 200: ProjectPage, ...problems },
      },
    },
    async (request) => {
      const agency = await requireAgency(context, request.params.agency);
      return { items: await listProjects(context.database.kysely, agency.id), next: null };
    },
  );

  app.get(
    `${path}/:project`,
    {
      schema: { tags, params: ProjectParams, querystring: NoQuery, response: { 200: Project, ...problems } },
    },
    async (request, reply) => {
      const { agencyId, id } = await requireAnyProject(context, request.params);
      return sendProject(reply, await findProject(context.database.kysely, agencyId, id));
    },
  );
}

function writeRoutes(app: App, context: AppContext): void {
  const { kysely } = context.database;

  app.post(
    path,
    {
      schema: {
        tags,
        params: AgencyParams,
        querystring: NoQuery,
        body: ProjectCreate,
        response: { 201: Project, ...problems },
      },
    },
    async (request, reply) => {
      const agency = await requireAgency(context, request.params.agency);
      const { id, crs, ringCatalogueId } = request.body;
      const definition = findCrs(crs);
      if ('message' in definition) throw badField('/crs', definition.message, crs);
      makeProjection(definition);
      await requireCatalogue(context, agency.id, ringCatalogueId);
      checkZone(request.body.policy);
      if (!(await insertProject(kysely, agency.id, request.body))) {
        const held = await findProjectHead(kysely, agency.id, id);
        const state = held?.isBeingDeleted ? ' that is being deleted: wait until it is gone.' : ' already.';
        throw new HttpProblem(409, `There is a project "${id}"${state}`);
      }
      reply.code(201).header('location', `/api/agencies/${agency.id}/projects/${id}`);
      return sendProject(reply, await findProject(kysely, agency.id, id));
    },
  );

  app.patch(
    `${path}/:project`,
    {
      schema: {
        tags,
        params: ProjectParams,
        querystring: NoQuery,
        body: ProjectPatch,
        response: { 200: Project, ...problems },
      },
    },
    async (request, reply) => {
      const before = await requireProject(context, request.params);
      checkIfMatch(request.headers['if-match'], before.version);
      await requireCatalogue(context, before.agencyId, request.body.ringCatalogueId);
      await checkChimney(context, before, request.body);
      checkZone(request.body.policy);
      await kysely.transaction().execute(async (db) => {
        if (!(await updateProject(db, before, request.body))) throw changedMeanwhile();
        const after = request.body.policy && (await findProjectHead(db, before.agencyId, before.id));
        if (after) {
          await touchRope(db, before, after);
          await judgeAgain(db, after);
        }
        await notifyProject(db, before.agencyId, before.id);
      });
      return sendProject(reply, await findProject(kysely, before.agencyId, before.id));
    },
  );
}

/** Plans count the rope of a vacuum test. The agency's word on it is the same before and after. */
async function touchRope(db: Kysely<Tables>, before: ProjectHead, after: ProjectHead): Promise<void> {
  const { agencyId, id: projectId } = before;
  const policy = (await findAgency(db, agencyId))?.policy ?? {};
  if (plannedRope(policy, before.policy) !== plannedRope(policy, after.policy))
    await touchProjectInputs(db, { agencyId, projectId });
}

function deletionRoutes(app: App, context: AppContext): void {
  const { kysely } = context.database;
  app.get(
    `${path}/:project/holdings`,
    {
      schema: {
        tags,
        params: ProjectParams,
        querystring: NoQuery,
        response: { 200: ProjectHoldings, ...problems },
      },
    },
    async (request) => {
      const { agencyId, id: projectId } = await requireProject(context, request.params);
      return findHoldings(kysely, { agencyId, projectId });
    },
  );

  app.delete(
    `${path}/:project`,
    {
      schema: {
        tags,
        description:
          'A project with records from the field, or that something is at work on, stays: 409. Else a job removes it, which cannot be cancelled; from now on everything about the project but itself is answered with 410. The job goes with the project: once both are 404 it is done.',
        params: ProjectParams,
        querystring: NoQuery,
        response: { 202: Job, ...problems },
      },
    },
    async (request, reply) => {
      const before = await requireAnyProject(context, request.params);
      checkIfMatch(request.headers['if-match'], before.version);
      const key = { agencyId: before.agencyId, projectId: before.id };
      const job = await kysely.transaction().execute(async (db) => {
        const under = await findDeletion(db, key);
        if (under) return under;
        if (!(await lockProject(db, key))) throw notFound(`project "${before.id}"`);
        const hindrance = await findHindrance(db, key);
        if (hindrance !== null) throw new HttpProblem(409, hindrance);
        const begun = await beginDeletion(db, key, randomUUID());
        await context.queue.sendDeletion(db, { ...key, jobId: begun.id });
        return begun;
      });
      reply.code(202).header('location', `/api/agencies/${key.agencyId}/jobs/${job.id}`);
      return job;
    },
  );
}

async function requireCatalogue(
  { database }: AppContext,
  agencyId: string,
  id: string | null | undefined,
): Promise<void> {
  if (id == null || (await findRingCatalogue(database.kysely, agencyId, id))) return;
  throw badField('/ringCatalogueId', 'is no ring catalogue of this agency', id);
}

/** The rings that the project will take, up to the limit that will be in force for them. */
async function checkChimney(
  { database: { kysely } }: AppContext,
  before: ProjectHead,
  { policy, ringCatalogueId = before.ringCatalogueId }: ProjectPatch,
): Promise<void> {
  const agency = await findAgency(kysely, before.agencyId);
  const own = policy?.maxChimneyM === undefined ? before.policy.maxChimneyM : policy.maxChimneyM;
  const catalogue = ringCatalogueId && (await findRingCatalogue(kysely, before.agencyId, ringCatalogueId));
  if (catalogue) checkChimneyLimit([catalogue], own ?? agency?.policy.maxChimneyM);
}

/** A project that was there a moment ago. */
function sendProject(reply: FastifyReply, project: Project | null): Project {
  if (!project) throw new Error('The project went away');
  reply.header('etag', etagOf(project.version));
  return project;
}
