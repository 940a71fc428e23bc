import Type from 'typebox';
import { exact } from '#shared/schema.ts';
import { TileJson, TileQuery } from '#shared/tile.ts';
import type { App, AppContext } from '../../context.ts';
import { badField, notFound } from '../../http-problem.ts';
import { listAgencies } from '../../store/agencies.ts';
import { lastZoom } from '../../store/tiles/places.ts';
import type { TileScope } from '../../store/tiles/read.ts';
import { codingFor } from '../../tiles/negotiate.ts';
import { TileServer } from '../../tiles/serve.ts';
import { problems } from '../common.ts';
import { readAddress, readFilter } from './address.ts';
import { describeTiles } from './tile-json.ts';

/** Tiles held in the memory of one server, all forms together. */
const mostBytes = 64 * 2 ** 20;
/** Requests a minute from one address: an office of two hundred people may share one, and most tiles cost a look-up. */
const requestsPerMinute = 120_000;

const CollectionParams = exact({ collection: Type.String() });
const TileParams = exact({
  collection: Type.String(),
  z: Type.String(),
  x: Type.String(),
  y: Type.String(),
});

export function tileRoutes(app: App, context: AppContext): void {
  const server = new TileServer(context.database, mostBytes);
  const tags = ['tiles'];
  const config = { rateLimit: { max: requestsPerMinute, timeWindow: '1 minute' } };

  app.get(
    '/tiles/:collection',
    {
      config,
      schema: {
        tags,
        params: CollectionParams,
        querystring: TileQuery,
        response: { 200: TileJson, ...problems },
      },
    },
    async (request, reply) => {
      checkCollection(request.params.collection);
      const scope = await findScope(context, request.query);
      readFilter(request.query);
      const described = await describeTiles(context.database, scope, {
        origin: `${request.protocol}://${request.host}`,
        query: request.query,
      });
      if (!described) throw noScope(scope);
      reply.header('cache-control', 'no-cache');
      return described;
    },
  );

  app.get(
    '/tiles/:collection/:z/:x/:y.mvt',
    {
      config,
      schema: {
        tags,
        description: `Vector Tile Specification 2.1. A layer "covers" from zoom 13 to ${lastZoom}, a layer "counts" before.`,
        params: TileParams,
        querystring: TileQuery,
        response: { 200: Type.Any(), 204: Type.Null(), 304: Type.Null(), ...problems },
      },
    },
    async (request, reply) => {
      checkCollection(request.params.collection);
      const address = readAddress(request.params);
      const filter = readFilter(request.query);
      const scope = await findScope(context, request.query);
      const coding = codingFor(request.headers['accept-encoding']);
      const known = request.headers['if-none-match'];
      const answer = await server.answer({ scope, filter, address, coding, known });
      if (answer.kind === 'unknown') throw noScope(scope);
      reply.header('etag', answer.tag).header('vary', 'accept-encoding').header('cache-control', 'no-cache');
      if (answer.kind === 'same') return reply.code(304).send(null);
      if (answer.bytes.length === 0) return reply.code(204).send(null);
      if (answer.coding !== 'identity') reply.header('content-encoding', answer.coding);
      return reply
        .type('application/vnd.mapbox-vector-tile')
        .send(Buffer.from(answer.bytes.buffer, answer.bytes.byteOffset, answer.bytes.length));
    },
  );
}

function checkCollection(collection: string): void {
  if (collection !== 'covers') throw notFound(`collection "${collection}" of tiles: there is "covers"`);
}

async function findScope({ database }: AppContext, { agency, project }: TileQuery): Promise<TileScope> {
  const projectId = project ?? null;
  if (agency !== undefined) return { agencyId: agency, projectId };
  const agencies = await listAgencies(database.kysely);
  if (agencies.length > 1) throw badField('/agency', 'is missing; there are several agencies');
  if (agencies.length === 0) throw notFound('agency yet');
  return { agencyId: agencies[0].id, projectId };
}

function noScope({ agencyId, projectId }: TileScope) {
  return notFound(
    projectId === null ? `agency "${agencyId}"` : `project "${projectId}" of agency "${agencyId}"`,
  );
}
