import Type from 'typebox';
import { makeProjection } from '#core/crs/crs.ts';
import { LineCollection, LineFeature, LinePatch } from '#shared/line.ts';
import { exact } from '#shared/schema.ts';
import type { App, AppContext } from '../../../context.ts';
import { notFound } from '../../../http-problem.ts';
import { changeProjectInputs } from '../../../project-inputs.ts';
import { deleteLine, findLine, listLines, type ProjectLine, updateLine } from '../../../store/lines.ts';
import { crsOf, type ProjectHead } from '../../../store/projects.ts';
import {
  changedMeanwhile,
  checkIfMatch,
  etagOf,
  NoQuery,
  ProjectParams,
  problems,
  requireProject,
} from '../../common.ts';

const LineParams = exact({ agency: Type.String(), project: Type.String(), line: Type.String() });
const path = '/agencies/:agency/projects/:project/lines';
const tags = ['lines'];

export function lineRoutes(app: App, context: AppContext): void {
  const { kysely } = context.database;

  app.get(
    path,
    {
      schema: {
        tags,
        params: ProjectParams,
        querystring: NoQuery,
        response: { 200: LineCollection, ...problems },
      },
    },
    async (request) => {
      const project = await requireProject(context, request.params);
      const lines = await listLines(kysely, { agencyId: project.agencyId, projectId: project.id });
      return { type: 'FeatureCollection' as const, features: toFeatures(lines, project) };
    },
  );

  app.patch(
    `${path}/:line`,
    {
      schema: {
        tags,
        params: LineParams,
        querystring: NoQuery,
        body: LinePatch,
        response: { 200: LineFeature, ...problems },
      },
    },
    async (request, reply) => {
      const { line: id, ...place } = request.params;
      const project = await requireProject(context, place);
      const key = { agencyId: project.agencyId, projectId: project.id };
      const before = await findLine(kysely, key, id);
      if (!before) throw notFound(`line "${id}" in project "${project.id}"`);
      checkIfMatch(request.headers['if-match'], before.version);
      const changed = await changeProjectInputs(context.database, project, (db) =>
        updateLine(db, key, before, request.body),
      );
      if (!changed) throw changedMeanwhile();
      const after = { ...before, ...request.body, version: before.version + 1 };
      reply.header('etag', etagOf(after.version));
      return toFeatures([after], project)[0];
    },
  );

  app.delete(
    `${path}/:line`,
    {
      schema: {
        tags,
        params: LineParams,
        querystring: NoQuery,
        response: { 204: Type.Null(), ...problems },
      },
    },
    async (request, reply) => {
      const { line: id, ...place } = request.params;
      const project = await requireProject(context, place);
      const key = { agencyId: project.agencyId, projectId: project.id };
      const before = await findLine(kysely, key, id);
      if (!before) throw notFound(`line "${id}" in project "${project.id}"`);
      checkIfMatch(request.headers['if-match'], before.version);
      const gone = await changeProjectInputs(context.database, project, (db) => deleteLine(db, key, before));
      if (!gone) throw changedMeanwhile();
      return reply.code(204).send(null);
    },
  );
}

const uses = {
  centre: 'bearing',
  crown: 'breakLine',
  gutter: 'breakLine',
  edge: 'none',
  other: 'none',
} as const;

function toFeatures(lines: readonly ProjectLine[], project: ProjectHead): LineFeature[] {
  const { toLonLat } = makeProjection(crsOf(project.crs));
  return lines.map(({ id, kind, name, street, positions, version }) => {
    const coordinates = positions.map(([east, north, elevation]) =>
      elevation === null ? toLonLat(east, north) : [...toLonLat(east, north), elevation],
    );
    const lengthM = positions
      .slice(1)
      .reduce((sum, [e, n], i) => sum + Math.hypot(e - positions[i][0], n - positions[i][1]), 0);
    return {
      type: 'Feature',
      id,
      geometry: { type: 'LineString', coordinates },
      properties: { name, kind, street, lengthM, use: uses[kind], version },
    };
  });
}
