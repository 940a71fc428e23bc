import { createHash } from 'node:crypto';
import type { FastifyReply, FastifyRequest } from 'fastify';
import { compress } from './compress.ts';
import { codingFor, namesTag } from './negotiate.ts';

export const tileType = 'application/vnd.mapbox-vector-tile';

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
  reply.type(tileType);
  if (coding === 'identity') return reply.send(asBuffer(tile));
  return reply.header('content-encoding', coding).send(asBuffer(await compress(tile, coding)));
}

const asBuffer = ({ buffer, byteOffset, length }: Uint8Array): Buffer =>
  Buffer.from(buffer, byteOffset, length);
