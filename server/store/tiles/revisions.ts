import type { Database } from '../database.ts';
import { areaOf, revisionTilesOf, type TileAddress } from './area.ts';
import type { TileScope } from './read.ts';
import { run, Statement } from './statement.ts';

/** Whether the agency or project is there, and a text that is another after every change to what the tile shows. */
export interface FoundRevision {
  isKnown: boolean;
  revision: string;
}

interface Asked {
  scope: TileScope;
  address: TileAddress;
  resolve(found: FoundRevision): void;
  reject(error: unknown): void;
}

/** Statements under way at once. */
const most = 4;

/**
 * Asks for the revisions of tiles. What is asked for while statements are under way waits for the next one and goes in it
 * together: a screen is six tiles, and many look at once. Nobody gets an answer of a statement that was begun before he asked.
 */
export class TileRevisions {
  readonly #database: Database;
  #waiting: Asked[] = [];
  #underWay = 0;

  constructor(database: Database) {
    this.#database = database;
  }

  find(scope: TileScope, address: TileAddress): Promise<FoundRevision> {
    return new Promise((resolve, reject) => {
      this.#waiting.push({ scope, address, resolve, reject });
      // Not at once: what came with it, on other connections, is about to ask too.
      if (this.#waiting.length === 1) setImmediate(() => this.#begin());
    });
  }

  #begin(): void {
    while (this.#waiting.length > 0 && this.#underWay < most) void this.#next();
  }

  /** All that wait for one agency, since a statement is of one. */
  async #next(): Promise<void> {
    const [{ scope }] = this.#waiting;
    const isOfSame = (asked: Asked) => asked.scope.agencyId === scope.agencyId;
    const together = this.#waiting.filter(isOfSame);
    this.#waiting = this.#waiting.filter((asked) => !isOfSame(asked));
    this.#underWay += 1;
    try {
      const found = await findTileRevisions(this.#database, scope.agencyId, together);
      for (const [k, { resolve }] of together.entries()) resolve(found[k]);
    } catch (error) {
      for (const { reject } of together) reject(error);
    }
    this.#underWay -= 1;
    this.#begin();
  }
}

/** Of tiles of one agency, in the order in which they are asked for. */
export async function findTileRevisions(
  database: Database,
  agencyId: string,
  asked: readonly Pick<Asked, 'scope' | 'address'>[],
): Promise<FoundRevision[]> {
  const areas = asked.map(({ address }) => revisionTilesOf(areaOf(address)));
  const statement = new Statement();
  const agency = statement.value(agencyId);
  const numbers = (['north', 'south', 'west', 'east'] as const).map((side) =>
    statement.list(
      areas.map((area) => area[side]),
      'integer',
    ),
  );
  const projects = statement.list(
    asked.map(({ scope }) => scope.projectId),
    'text',
  );
  const text = `select
      case when asked.project_id is null then exists (select from agencies where agency_id = ${agency})
        else exists (select from projects where agency_id = ${agency} and project_id = asked.project_id) end,
      (select coalesce(sum(revision), 0)::text from tile_revisions as tile where agency_id = ${agency}
        and tile_y between asked.north and asked.south and tile_x between asked.west and asked.east
        and (asked.project_id is null or tile.project_id = asked.project_id))
    from unnest(${[...numbers, projects].join(', ')})
      with ordinality as asked (north, south, west, east, project_id, number)
    order by asked.number`;
  const rows = await run<[boolean, string]>(database, text, statement);
  return rows.map(([isKnown, revision]) => ({ isKnown, revision }));
}
