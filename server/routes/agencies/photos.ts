import type { Readable } from 'node:stream';
import type { FastifyReply, FastifyRequest } from 'fastify';
import Type from 'typebox';
import { largestPhotoBytes, PhotoState } from '#shared/photo.ts';
import { exact } from '#shared/schema.ts';
import type { App, AppContext } from '../../context.ts';
import { photoState, takePhotoPart } from '../../field/photos.ts';
import { badField, HttpProblem, notFound } from '../../http-problem.ts';
import { findPhoto } from '../../store/field/photos.ts';
import { NoQuery, problems, requireAgency } from '../common.ts';

const path = '/agencies/:agency/photos/:sha256';
const tags = ['field'];
const PhotoParams = exact({
  agency: Type.String({ minLength: 1, maxLength: 200 }),
  sha256: Type.String({ pattern: '^[0-9a-f]{64}$' }),
});
const types = [
  'application/partial-upload',
  'application/octet-stream',
  'image/jpeg',
  'image/png',
  'image/webp',
];

/** Pictures by their hash, sent in parts in the way of resumable uploads over HTTP (draft-ietf-httpbis-resumable-upload). */
export function photoRoutes(app: App, context: AppContext): void {
  const schema = { tags, params: PhotoParams, querystring: NoQuery };

  app.head(path, { schema: { ...schema, response: { ...problems } } }, async (request, reply) => {
    const { id: agencyId } = await requireAgency(context, request.params.agency);
    showState(reply, await photoState(context, { agencyId, sha256: request.params.sha256 }));
    return reply.code(204).send(null as never);
  });

  app.get(
    path,
    { exposeHeadRoute: false, schema: { ...schema, produces: types.slice(2), response: { ...problems } } },
    async (request, reply) => {
      const { id: agencyId } = await requireAgency(context, request.params.agency);
      const { sha256 } = request.params;
      const found = await findPhoto(context.database.kysely, agencyId, sha256);
      if (!found) throw notFound(`picture ${sha256}, or not all of it yet`);
      reply.header('etag', `"${sha256}"`).header('cache-control', 'private, max-age=31536000, immutable');
      if (request.headers['if-none-match'] === `"${sha256}"`) return reply.code(304).send(null as never);
      if ((await context.photos.size({ agencyId, sha256 })) !== found.bytes)
        throw new HttpProblem(500, 'The file of this picture is missing from the folder of the server.');
      reply.type(found.mediaType).header('content-length', found.bytes);
      return reply.send(context.photos.read({ agencyId, sha256 }) as never);
    },
  );

  app.register(async (scope) => {
    scope.addContentTypeParser(types, (_request, payload, done) => done(null, payload));
    scope.patch(
      path,
      {
        bodyLimit: largestPhotoBytes,
        schema: { ...schema, consumes: types, response: { 200: PhotoState, ...problems } },
      },
      async (request, reply) => {
        const { agency, sha256 } = request.params as Record<'agency' | 'sha256', string>;
        const { id: agencyId } = await requireAgency(context, agency);
        const state = await takePhotoPart(context, { agencyId, sha256 }, readPart(request));
        showState(reply, state);
        return state;
      },
    );
  });
}

function showState(reply: FastifyReply, { receivedBytes, complete }: PhotoState): void {
  reply.header('upload-offset', receivedBytes).header('upload-complete', complete ? '?1' : '?0');
}

function readPart({ headers, body }: FastifyRequest) {
  const offset = readWhole(headers['upload-offset']);
  if (offset === null)
    throw badField('/upload-offset', 'send the header Upload-Offset with the byte that the part starts at');
  if (body === undefined || body === null) throw new HttpProblem(400, 'The part is missing.');
  return {
    offset,
    length: readWhole(headers['upload-length']),
    isLast: headers['upload-complete'] === '?1',
    bytes: body as Readable,
  };
}

function readWhole(text: string | string[] | undefined): number | null {
  return typeof text === 'string' && /^\d{1,15}$/.test(text) ? Number(text) : null;
}
