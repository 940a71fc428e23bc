import { hash } from 'node:crypto';
import type { Database } from '../store/database.ts';
import { areaOf, type TileAddress } from '../store/tiles/area.ts';
import { firstCoverZoom } from '../store/tiles/places.ts';
import { readCovers, readTileCounts, type TileFilter, type TileScope } from '../store/tiles/read.ts';
import { TileRevisions } from '../store/tiles/revisions.ts';
import { Blocks, firstSmallZoom, keptBy, revisionIn } from './blocks.ts';
import { TileCache } from './cache.ts';
import { readColumns } from './columns.ts';
import type { Coding } from './compress.ts';
import { encodeCovers } from './covers.ts';
import { encodeCounts } from './encode.ts';
import { namesTag } from './negotiate.ts';
import { Turns } from './turns.ts';

/** Goes up with each change to what is written for the same rows, so that nobody keeps tiles of the old form. */
const form = 2;

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

/** A tile that went is soon cut again; a block is read again. */
const shareOfBlocks = 0.6;
/** Reads of many rows that go on at once: more would only share the processors, and small ones would wait behind them. */
const mostLargeReads = 3;

/** Serves the tiles of one database from what was encoded or read before, where that is still what is there. */
export class TileServer {
  readonly #database: Database;
  readonly #cache: TileCache;
  readonly #turns = new Turns(mostLargeReads);
  readonly #blocks: Blocks;
  readonly #revisions: TileRevisions;
  /** By tag: what is made for askers who know which revision they want. */
  readonly #underWay = new Map<string, Promise<Encoded>>();
  /** By name: what is made for the first asker, of whatever revision it finds. */
  readonly #first = new Map<string, Promise<Encoded>>();

  /** The bytes are for tiles and for what they are cut from. */
  constructor(database: Database, mostBytes: number) {
    this.#database = database;
    this.#cache = new TileCache((1 - shareOfBlocks) * mostBytes);
    this.#blocks = new Blocks(database, { turns: this.#turns, mostBytes: shareOfBlocks * mostBytes });
    this.#revisions = new TileRevisions(database);
  }

  /**
   * The revision is asked of the database each time: other servers write to it too. A tile that nobody can have yet, and
   * that there is nothing for, is read at once, with its revision.
   */
  async answer(request: TileRequest): Promise<TileAnswer> {
    const name = nameOf(request);
    if (request.known === undefined && this.#isNew(name, request)) {
      const made = await share(this.#first, name, () => this.#make(name, request, null));
      // No revision at all: nothing was ever there, or there is no such agency or project.
      if (made.revision !== '0') return this.#tile(name, made, request.coding);
    }
    const { scope, address, coding } = request;
    const { isKnown, revision } = await this.#revisions.find(scope, address);
    if (!isKnown) return { kind: 'unknown' };
    const tag = tagOf(name, revision);
    if (namesTag(request.known, entityTag(tag, coding))) return { kind: 'same', tag: entityTag(tag, coding) };
    const held = await this.#cache.get(name, tag, coding);
    if (held) return { kind: 'tile', tag: entityTag(tag, coding), coding, bytes: held };
    const first = await this.#first.get(name);
    const made =
      first?.tag === tag
        ? first
        : await share(this.#underWay, tag, () => this.#make(name, request, revision));
    return this.#tile(name, made, coding);
  }

  #isNew(name: string, request: TileRequest): boolean {
    return !this.#cache.has(name) && !this.#first.has(name) && !this.#blocks.has(request);
  }

  async #tile(name: string, { tag, tile }: Encoded, coding: Coding): Promise<TileAnswer> {
    const bytes = await this.#cache.get(name, tag, coding);
    if (bytes) return { kind: 'tile', tag: entityTag(tag, coding), coding, bytes };
    // Larger than all that may be held, or gone again.
    return { kind: 'tile', tag: entityTag(tag, 'identity'), coding: 'identity', bytes: tile };
  }

  /** The tag is that of the revision that was read together with the rows: `least`, or a later one. */
  async #make(name: string, request: TileRequest, least: string | null): Promise<Encoded> {
    const { revision, tile } =
      request.address.z < firstCoverZoom
        ? await this.#makeCounts(request)
        : await this.#makeCovers(request, least);
    const tag = tagOf(name, revision);
    this.#cache.put(name, tag, tile);
    return { revision, tag, tile };
  }

  async #makeCounts({ scope, filter, address }: TileRequest): Promise<Omit<Encoded, 'tag'>> {
    const { revision, counts } = await readTileCounts(this.#database, scope, filter, address);
    return { revision, tile: encodeCounts(address, counts) };
  }

  async #makeCovers(request: TileRequest, least: string | null): Promise<Omit<Encoded, 'tag'>> {
    const { scope, filter, address } = request;
    const block = await this.#blocks.find(request, least);
    if (block) {
      const revision = `${revisionIn(block, address)}`;
      return { revision, tile: encodeCovers(address, block.columns, keptBy(filter)) };
    }
    const read = () => readCovers(this.#database, scope, filter, areaOf(address));
    // A quarter of a block, or less, goes before blocks.
    const { revision, drawn } =
      address.z < firstSmallZoom
        ? await this.#turns.take(address.z === firstCoverZoom ? 1 : 0.25, read)
        : await read();
    return { revision, tile: encodeCovers(address, readColumns(drawn)) };
  }
}

/** Whoever asks for what is being made waits for that one. */
function share<Made>(
  underWay: Map<string, Promise<Made>>,
  key: string,
  make: () => Promise<Made>,
): Promise<Made> {
  const begun = underWay.get(key);
  if (begun) return begun;
  const made = make().finally(() => underWay.delete(key));
  underWay.set(key, made);
  return made;
}

interface Encoded {
  revision: string;
  tag: string;
  tile: Uint8Array;
}

/** What a tile is of, without its revision. */
function nameOf({ scope, filter, address: { z, x, y } }: TileRequest): string {
  const statuses = filter.statuses && [...new Set(filter.statuses)].sort();
  return JSON.stringify([form, scope.agencyId, scope.projectId, { ...filter, statuses }, z, x, y]);
}

function tagOf(name: string, revision: string): string {
  return hash('sha256', name + revision, 'base64url').slice(0, 27);
}

/** A strong tag differs between forms that differ in their bytes (RFC 9110, section 8.8.3). */
function entityTag(tag: string, coding: Coding): string {
  return coding === 'identity' ? `"${tag}"` : `"${tag}.${coding}"`;
}
