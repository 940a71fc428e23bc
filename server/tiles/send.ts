import { createHash } from 'node:crypto';
import { promisify } from 'node:util';
import { brotliCompress, constants, gzip } from 'node:zlib';
import type { FastifyReply, FastifyRequest } from 'fastify';
import type { Coding } from './cache.ts';
import { codingFor, namesTag } from './negotiate.ts';

export const tileType = 'application/vnd.mapbox-vector-tile';

const compressors = {
  gzip: (tile: Uint8Array) => promisify(gzip)(tile, { level: 1 }),
  br: (tile: Uint8Array) =>
    promisify(brotliCompress)(tile, { params: { [constants.BROTLI_PARAM_QUALITY]: 4 } }),
  identity: async (tile: Uint8Array) => Buffer.from(tile.buffer, tile.byteOffset, tile.length),
} satisfies Record<Coding, (tile: Uint8Array) => Promise<Buffer>>;

/**
 * Sends a tile of an answer that hangs on more than the tables of the tiles keep revisions of: it is made each time, and its
 * tag is that of its bytes, so that nobody is sent again what he has, nor keeps what is not so any more.
 */
export async function sendMadeTile(
  request: FastifyRequest,
  reply: FastifyReply,
  tile: Uint8Array,
): Promise<unknown> {
  const coding = codingFor(request.headers['accept-encoding']);
  const sum = createHash('sha256').update(tile).digest('base64url').slice(0, 27);
  const tag = coding === 'identity' ? `"${sum}"` : `"${sum}.${coding}"`;
  reply.header('etag', tag).header('vary', 'accept-encoding').header('cache-control', 'no-cache');
  if (namesTag(request.headers['if-none-match'], tag)) return reply.code(304).send(null);
  if (tile.length === 0) return reply.code(204).send(null);
  if (coding !== 'identity') reply.header('content-encoding', coding);
  return reply.type(tileType).send(await compressors[coding](tile));
}
