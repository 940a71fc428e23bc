import { createReadStream } from 'node:fs';
import { stat } from 'node:fs/promises';
import type { Readable } from 'node:stream';
import type { FastifyReply, FastifyRequest } from 'fastify';
import Type from 'typebox';
import { exact } from '#shared/schema.ts';
import {
  ImportAnswers,
  ImportCreate,
  type ImportProgress,
  type ImportState,
  StagedImport,
  UndoPreview,
  UndoReport,
  UndoRequest,
  UploadFile,
} from '#shared/staged-import.ts';
import type { App, AppContext } from '../../../context.ts';
import { badField, HttpProblem, notFound } from '../../../http-problem.ts';
import { openEventStream } from '../../../plugins/event-stream.ts';
import {
  answerImport,
  cancelImport,
  commitImport,
  createImport,
  discardImport,
  filesOf,
  readAgain,
  takePart,
} from '../../../staging/requests.ts';
import { previewUndo, undoImport } from '../../../staging/undo.ts';
import { toStagedImport } from '../../../staging/view.ts';
import { findImport, type ImportRecord } from '../../../store/staging/batches.ts';
import { NoQuery, ProjectParams, problems, requireProject } from '../../common.ts';

const path = '/agencies/:agency/projects/:project/imports';
const tags = ['imports'];
const ImportParams = exact({ agency: Type.String(), project: Type.String(), import: Type.String() });
const FileParams = exact({ ...ImportParams.properties, number: Type.String() });
const uuid = /^[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}$/;
const response = { 200: StagedImport, ...problems };

/** From the first part of a file to the undoing of what it stored. */
export function stagedImportRoutes(app: App, context: AppContext): void {
  const send = async (record: ImportRecord) => toStagedImport(context, await again(context, record));
  lifeRoutes(app, context, send);
  partRoutes(app, context);
  listenRoutes(app, context);
  undoRoutes(app, context);
}

type Send = (record: ImportRecord) => Promise<StagedImport>;
const schema = { tags, params: ImportParams, querystring: NoQuery, response };

function lifeRoutes(app: App, context: AppContext, send: Send): void {
  app.post(
    path,
    {
      schema: {
        tags,
        params: ProjectParams,
        querystring: NoQuery,
        body: ImportCreate,
        response: { 201: StagedImport, ...problems },
      },
    },
    async (request, reply) => {
      const project = await requireProject(context, request.params);
      const key = await createImport(context, project, request.body);
      const address = `/api/agencies/${key.agencyId}/projects/${project.id}/imports/${key.importId}`;
      reply.code(201).header('location', address);
      return toStagedImport(context, (await findImport(context.database.kysely, key))!);
    },
  );

  app.get(`${path}/:import`, { schema }, async (request) =>
    send(await requireImport(context, request.params)),
  );

  app.patch(`${path}/:import`, { schema: { ...schema, body: ImportAnswers } }, async (request) => {
    const record = await requireImport(context, request.params);
    await answerImport(context, record, request.body);
    return send(record);
  });

  const acts = { read: readAgain, commit: commitImport, cancel: cancelImport, discard: discardImport };
  for (const [word, act] of Object.entries(acts)) {
    app.post(`${path}/:import/${word}`, { schema }, async (request) => {
      const record = await requireImport(context, request.params);
      await act(context, record);
      return send(record);
    });
  }
}

/** Parts are sent as they are, in the way of resumable uploads over HTTP (draft-ietf-httpbis-resumable-upload). */
function partRoutes(app: App, context: AppContext): void {
  const address = `${path}/:import/files/:number`;
  const file = { tags, params: FileParams, querystring: NoQuery, response: { 200: UploadFile, ...problems } };

  app.get(address, { schema: file }, async (request, reply) => {
    const { number, ...params } = request.params;
    const record = await requireImport(context, params);
    return sendFile(context, reply, record, number);
  });

  app.register(async (scope) => {
    const types = ['application/partial-upload', 'application/octet-stream'];
    scope.addContentTypeParser(types, (_request, payload, done) => done(null, payload));
    scope.patch(
      address,
      { bodyLimit: Number.MAX_SAFE_INTEGER, schema: { ...file, consumes: types } },
      async (request, reply) => {
        const { number, ...params } = request.params as Record<
          'agency' | 'project' | 'import' | 'number',
          string
        >;
        const record = await requireImport(context, params);
        if (!record.files.some((each) => String(each.number) === number)) throw notFound(`file ${number}`);
        const offset = readOffset(request);
        await takePart(context, record, { number: Number(number), offset, part: request.body as Readable });
        return sendFile(context, reply, await again(context, record), number);
      },
    );
  });
}

function readOffset({ headers, body }: FastifyRequest): number {
  const text = headers['upload-offset'];
  if (typeof text !== 'string' || !/^\d{1,15}$/.test(text)) {
    throw badField('/upload-offset', 'send the header Upload-Offset with the byte that the part starts at');
  }
  if (body === undefined || body === null) throw new HttpProblem(400, 'The part is missing.');
  return Number(text);
}

async function sendFile(
  context: AppContext,
  reply: FastifyReply,
  record: ImportRecord,
  number: string,
): Promise<UploadFile> {
  const file = (await filesOf(context, record)).find((each) => String(each.number) === number);
  if (!file) throw notFound(`file ${number} of this import`);
  reply.header('upload-offset', file.receivedBytes).header('upload-length', file.sizeBytes);
  reply.header('upload-complete', file.receivedBytes === file.sizeBytes ? '?1' : '?0');
  return file;
}

function listenRoutes(app: App, context: AppContext): void {
  app.get(`${path}/:import/events`, { schema: { ...schema, response: problems } }, async (request, reply) => {
    const { importId, agencyId } = await requireImport(context, request.params);
    const stream = openEventStream(request, reply);
    const tell = (progress: ImportProgress): void => {
      stream.send('progress', progress);
      if (atRest.includes(progress.state)) stream.end();
    };
    const tellNow = async (): Promise<void> => {
      const { state, progress } = await requireImport(context, request.params);
      tell({ importId, state, ...progress });
    };
    const lookAgain = (): void => {
      tellNow().catch((error) => request.log.error(error));
    };
    const end = context.notices.subscribe((notice) => {
      if (notice.kind !== 'import' || notice.importId !== importId || notice.agencyId !== agencyId) return;
      const { state, done, total } = notice;
      tell({ importId, state, done, total });
    }, lookAgain);
    stream.onClose(end);
    await tellNow();
    return reply;
  });

  app.get(
    `${path}/:import/refused.csv`,
    { schema: { ...schema, produces: ['text/csv'], response: problems } },
    async (request, reply) => {
      const record = await requireImport(context, request.params);
      const file = context.uploads.refusedPathOf(record.importId);
      const { size } = await stat(file).catch(() => {
        throw notFound('list of refused rows for this import');
      });
      reply.header('content-disposition', `attachment; filename="${refusedName(record.fileName)}"`);
      reply.type('text/csv; charset=utf-8').header('content-length', size);
      return reply.send(createReadStream(file) as never);
    },
  );
}

const atRest: readonly ImportState[] = ['uploaded', 'ready', 'stored', 'undone', 'failed', 'discarded'];

/** Letters, digits and a few marks: nothing that could end the header or climb a folder. */
function refusedName(fileName: string): string {
  const stem = fileName.replace(/\.[^.]*$/, '').replace(/[^A-Za-z0-9 _-]+/g, '_');
  return `${stem.slice(0, 80)} refused rows.csv`;
}

function undoRoutes(app: App, context: AppContext): void {
  app.get(
    `${path}/:import/undo`,
    { schema: { ...schema, response: { 200: UndoPreview, ...problems } } },
    async (request) => previewUndo(context, await requireImport(context, request.params)),
  );

  app.post(
    `${path}/:import/undo`,
    { schema: { ...schema, body: UndoRequest, response: { 200: UndoReport, ...problems } } },
    async (request) => {
      const record = await requireImport(context, request.params);
      const report = await undoImport(context, record, request.body.changedSince);
      return { ...report, import: await toStagedImport(context, await again(context, record)) };
    },
  );
}

async function requireImport(
  context: AppContext,
  { import: importId, ...place }: { agency: string; project: string; import: string },
): Promise<ImportRecord> {
  const { agencyId, id: projectId } = await requireProject(context, place);
  const found = uuid.test(importId)
    ? await findImport(context.database.kysely, { agencyId, importId })
    : null;
  if (!found || found.projectId !== projectId) throw notFound(`import "${importId}" in this project`);
  return found;
}

async function again(context: AppContext, record: ImportRecord): Promise<ImportRecord> {
  return (await findImport(context.database.kysely, record)) ?? record;
}
