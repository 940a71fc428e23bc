import type { Database } from '../store/database.ts';
import { areaOf, revisionTilesOf, type TileAddress } from '../store/tiles/area.ts';
import { firstCoverZoom } from '../store/tiles/places.ts';
import {
  partSeparator,
  readBlock,
  recordSeparator,
  revisionKey,
  type TileFilter,
  type TileScope,
} from '../store/tiles/read.ts';
import { bytesOf, type CoverColumns, readColumns } from './columns.ts';
import type { Kept } from './covers.ts';
import type { Turns } from './turns.ts';

/** What a tile is cut from: all covers of the tile of zoom 13 that it lies in, with what that has round it. */
export interface Block {
  columns: CoverColumns;
  /** As of one moment, by `revisionKey`. */
  revisions: Map<number, number>;
}

export interface Wanted {
  scope: TileScope;
  filter: TileFilter;
  address: TileAddress;
}

interface Loading {
  block: Promise<Block>;
  isReading: boolean;
}

/** Tiles from here on are of so few covers that they wait for nobody. */
export const firstSmallZoom = 15;

const none: TileFilter = { statuses: null, kind: null, owner: null, street: null, outside: null };
/** Of a read of a whole block: what any read costs, however small. */
const costOfRead = 0.04;
/** A block is read as soon as this part of what it costs was spent on tiles in it. */
const enough = 0.5;
/** So many blocks are remembered that are not held. */
const mostSpent = 10_000;

/**
 * Blocks of covers in memory, no more than so many bytes of them; what was cut from longest ago goes first. A tile of zoom 13
 * is read as a block. One of a deeper zoom is cut from a block that is held and still says what the tables say of its
 * place; of others the rows are read, until that comes to be as dear as a block.
 */
export class Blocks {
  readonly #database: Database;
  readonly #turns: Turns;
  readonly #mostBytes: number;
  readonly #held = new Map<string, Block>();
  readonly #loading = new Map<string, Loading>();
  readonly #spent = new Map<string, number>();
  #bytes = 0;

  constructor(database: Database, { turns, mostBytes }: { turns: Turns; mostBytes: number }) {
    this.#database = database;
    this.#turns = turns;
    this.#mostBytes = mostBytes;
  }

  get bytes(): number {
    return this.#bytes;
  }

  /** Whether there may be a block to cut the tile from, of whatever revision. */
  has(wanted: Wanted): boolean {
    const key = keyOf(wanted);
    return this.#held.has(key) || this.#loading.has(key);
  }

  /**
   * The block to cut a tile from: of the revision `least` or a later one, or one that is read from now on. null where the
   * tile's own rows are to be read.
   */
  async find(wanted: Wanted, least: string | null): Promise<Block | null> {
    if (this.#mostBytes === 0 || !isOfTexts(wanted.filter)) return null;
    const key = keyOf(wanted);
    const isWhole = wanted.address.z === firstCoverZoom;
    const isCurrent = (block: Block) => least !== null && revisionIn(block, wanted.address) >= Number(least);
    const held = this.#held.get(key);
    if (held && isCurrent(held)) {
      this.#keep(key, held);
      return held;
    }
    const begun = this.#loading.get(key);
    if (begun && least !== null && (isWhole || (begun.isReading && wanted.address.z < firstSmallZoom))) {
      const block = await begun.block;
      if (isCurrent(block)) return block;
    }
    if (isWhole) return this.#load(key, wanted, 1);
    // For those who come later: whoever asks for a small tile does not wait for a large one, nor does anybody who wants one now.
    if (!this.#loading.has(key) && this.#isDue(key, wanted.address))
      this.#load(key, wanted, 2).catch(() => {});
    return null;
  }

  /** Whether enough was spent on the block's tiles; a read of this one is added to it. */
  #isDue(key: string, { z }: TileAddress): boolean {
    const spent = (this.#spent.get(key) ?? 0) + 4 ** (firstCoverZoom - z) + costOfRead;
    if (spent >= enough) return true;
    this.#spent.delete(key);
    this.#spent.set(key, spent);
    for (const [oldest] of this.#spent) {
      if (this.#spent.size <= mostSpent) break;
      this.#spent.delete(oldest);
    }
    return false;
  }

  #load(key: string, { scope, filter, address }: Wanted, weight: number): Promise<Block> {
    const loading: Loading = { isReading: false, block: null as never };
    loading.block = this.#turns
      .take(weight, async () => {
        loading.isReading = true;
        const area = areaOf(blockOf(address));
        const { drawn, revisions } = await readBlock(
          this.#database,
          scope,
          { ...none, outside: filter.outside },
          area,
        );
        const block = { columns: readColumns(drawn), revisions };
        this.#spent.delete(key);
        this.#keep(key, block);
        return block;
      })
      .finally(() => {
        if (this.#loading.get(key) === loading) this.#loading.delete(key);
      });
    this.#loading.set(key, loading);
    return loading.block;
  }

  #keep(key: string, block: Block): void {
    const before = this.#held.get(key);
    if (before) this.#bytes -= bytesOf(before.columns);
    this.#held.delete(key);
    this.#held.set(key, block);
    this.#bytes += bytesOf(block.columns);
    for (const [oldest, { columns }] of this.#held) {
      if (this.#bytes <= this.#mostBytes) break;
      this.#held.delete(oldest);
      this.#bytes -= bytesOf(columns);
    }
  }
}

/** The tile of zoom 13 that another lies in: its buffer is wider than that of any tile in it. */
function blockOf({ z, x, y }: TileAddress): TileAddress {
  const side = 2 ** (z - firstCoverZoom);
  return { z: firstCoverZoom, x: Math.floor(x / side), y: Math.floor(y / side) };
}

/** Blocks hold covers of every text, but not of every project. */
function keyOf({ scope, filter, address }: Wanted): string {
  const { x, y } = blockOf(address);
  return JSON.stringify([scope.agencyId, scope.projectId, filter.outside, x, y]);
}

/** The revision of a tile that lies in the block: the sum of those that it touches. */
export function revisionIn({ revisions }: Block, address: TileAddress): number {
  const { west, east, north, south } = revisionTilesOf(areaOf(address));
  let sum = 0;
  for (let y = north; y <= south; y++) {
    for (let x = west; x <= east; x++) sum += revisions.get(revisionKey(y, x)) ?? 0;
  }
  return sum;
}

/** Covers are drawn without the separators: the rows alone know texts that have them. */
const isOfTexts = ({ kind, owner, street }: TileFilter): boolean =>
  ![kind, owner, street].some((text) => text?.includes(partSeparator) || text?.includes(recordSeparator));

/** What a filter leaves of a block. */
export function keptBy({ statuses, kind, owner, street }: TileFilter): Kept {
  const isAny = (wanted: string | null, text: string) => wanted === null || wanted === text;
  return {
    status: (status) => statuses === null || statuses.includes(status),
    texts: (texts) => isAny(kind, texts.kind) && isAny(owner, texts.owner) && isAny(street, texts.street),
  };
}
