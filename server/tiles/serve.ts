import { createHash } from 'node:crypto';
import type { Database } from '../store/database.ts';
import type { TileAddress } from '../store/tiles/area.ts';
import { firstCoverZoom } from '../store/tiles/places.ts';
import {
  findTileRevision,
  readTileCounts,
  readTileCovers,
  type TileFilter,
  type TileScope,
} from '../store/tiles/read.ts';
import { type Coding, TileCache } from './cache.ts';
import { encodeCounts, encodeCovers } from './encode.ts';
import { namesTag } from './negotiate.ts';

/** Goes up with each change to what is written for the same rows, so that nobody keeps tiles of the old form. */
const form = 1;

export interface TileRequest {
  scope: TileScope;
  filter: TileFilter;
  address: TileAddress;
  coding: Coding;
  /** Value of If-None-Match. */
  known: string | undefined;
}

export type TileAnswer =
  | { kind: 'unknown' }
  | { kind: 'same'; tag: string }
  | { kind: 'tile'; tag: string; coding: Coding; bytes: Uint8Array };

/** Serves the tiles of one database from what was encoded before, where that is still what is there. */
export class TileServer {
  readonly #database: Database;
  readonly #cache: TileCache;
  readonly #underWay = new Map<string, Promise<Encoded>>();

  constructor(database: Database, mostBytes: number) {
    this.#database = database;
    this.#cache = new TileCache(mostBytes);
  }

  /** The revision is asked of the database each time: other servers write to it too. */
  async answer(request: TileRequest): Promise<TileAnswer> {
    const { scope, address, coding } = request;
    const { isKnown, revision } = await findTileRevision(this.#database, scope, address);
    if (!isKnown) return { kind: 'unknown' };
    const name = nameOf(request);
    const tag = tagOf(name, revision);
    if (namesTag(request.known, entityTag(tag, coding))) return { kind: 'same', tag: entityTag(tag, coding) };
    const held = await this.#cache.get(tag, coding);
    if (held) return { kind: 'tile', tag: entityTag(tag, coding), coding, bytes: held };
    const made = await this.#encodeOnce(tag, name, request);
    const bytes = await this.#cache.get(made.tag, coding);
    if (bytes) return { kind: 'tile', tag: entityTag(made.tag, coding), coding, bytes };
    // Larger than all that may be held.
    return { kind: 'tile', tag: entityTag(made.tag, 'identity'), coding: 'identity', bytes: made.tile };
  }

  /** Whoever asks for a tile that is being made waits for that one. */
  #encodeOnce(tag: string, name: string, request: TileRequest): Promise<Encoded> {
    const underWay = this.#underWay.get(tag);
    if (underWay) return underWay;
    const begun = this.#encode(name, request).finally(() => this.#underWay.delete(tag));
    this.#underWay.set(tag, begun);
    return begun;
  }

  /** The tag is that of the revision that was read together with the rows. */
  async #encode(name: string, { scope, filter, address }: TileRequest): Promise<Encoded> {
    let [revision, tile]: [string, Uint8Array] = ['', new Uint8Array(0)];
    if (address.z < firstCoverZoom) {
      const read = await readTileCounts(this.#database, scope, filter, address);
      [revision, tile] = [read.revision, encodeCounts(address, read.counts)];
    } else {
      const read = await readTileCovers(this.#database, scope, filter, address);
      [revision, tile] = [read.revision, encodeCovers(address, read.drawn)];
    }
    const tag = tagOf(name, revision);
    this.#cache.put(tag, tile);
    return { tag, tile };
  }
}

interface Encoded {
  tag: string;
  tile: Uint8Array;
}

/** What a tile is of, without its revision. */
function nameOf({ scope, filter, address: { z, x, y } }: TileRequest): string {
  const statuses = filter.statuses && [...new Set(filter.statuses)].sort();
  return JSON.stringify([form, scope.agencyId, scope.projectId, { ...filter, statuses }, z, x, y]);
}

function tagOf(name: string, revision: string): string {
  return createHash('sha256').update(name).update(revision).digest('base64url').slice(0, 27);
}

/** A strong tag differs between forms that differ in their bytes (RFC 9110, section 8.8.3). */
function entityTag(tag: string, coding: Coding): string {
  return coding === 'identity' ? `"${tag}"` : `"${tag}.${coding}"`;
}
