import { type Kysely, type RawBuilder, sql } from 'kysely';
import { type CoverConditions, conditionsOf, shownStatus } from '../selection.ts';
import type { Tables } from '../tables.ts';
import { areaOf, runsOf, type TileAddress } from './area.ts';
import { finestCellBits, xOfPlace } from './places.ts';

/** A cover of a tile, at its place in Web Mercator's square of 2^30. */
export interface PlacedCover {
  number: number;
  x: number;
  y: number;
  id: string;
  status: string;
  kind: string;
  owner: string | null;
  street: string | null;
  netBuildupM: number | null;
}

interface Wanted {
  agencyId: string;
  projectId: string;
  /** As lists of covers are held to: here rows are chosen that the tables of the tiles do not tell apart. */
  conditions: CoverConditions;
  address: TileAddress;
}

/** The covers of a tile and its buffer that fit, in the order of their numbers. */
export async function readChosenCovers(db: Kysely<Tables>, wanted: Wanted): Promise<PlacedCover[]> {
  const { rows } = await sql<PlacedCover>`
    select tile.feature_id as number, ${xOfPlace} as x, tile.y, tile.structure_id as id, ${shownStatus} as status,
      tile.kind, tile.owner, tile.street, tile.net_buildup_m as "netBuildupM"
    ${chosen(wanted)} and ${insideTile(wanted.address)} order by tile.feature_id`.execute(db);
  return rows;
}

/** All that fit of the project, counted in the finest cells of counts, by status. */
export async function readChosenCells(
  db: Kysely<Tables>,
  wanted: Omit<Wanted, 'address'>,
): Promise<CellRow[]> {
  const bits = sql.lit(finestCellBits);
  const { rows } = await sql<CellRow>`
    select x >> ${bits} as x, y >> ${bits} as y, kind, count(*) as covers, sum(x)::bigint as "sumX",
      sum(y)::bigint as "sumY"
    from (select ${xOfPlace} as x, tile.y, ${shownStatus} as kind ${chosen(wanted)}) as found
    group by 1, 2, 3`.execute(db);
  return rows;
}

/** `kind` is a status, `unplanned` for none. */
interface CellRow {
  x: number;
  y: number;
  kind: string;
  covers: number;
  sumX: number;
  sumY: number;
}

/**
 * A text that is another after every change to anything in the database: the transactions that a reader sees. What was read
 * under the same one is what there is.
 */
export async function findSnapshot(db: Kysely<Tables>): Promise<string> {
  const { rows } = await sql<{ seen: string }>`select pg_current_snapshot()::text as seen`.execute(db);
  return rows[0].seen;
}

const chosen = ({ agencyId, projectId, conditions }: Omit<Wanted, 'address'>) => sql`
  from tile_covers as tile
  join project_covers as cover on cover.agency_id = tile.agency_id and cover.project_id = tile.project_id
    and cover.structure_id = tile.structure_id
  join structures as structure on structure.agency_id = tile.agency_id and structure.structure_id = tile.structure_id
  where tile.agency_id = ${agencyId} and tile.project_id = ${projectId}
    and cover.agency_id = ${agencyId} and cover.project_id = ${projectId} and structure.agency_id = ${agencyId}
    and ${conditionsOf(conditions)}`;

/** Condition on rows `tile` of tile_covers: they lie in a tile that shows single covers, or in its buffer. */
export function insideTile(address: TileAddress): RawBuilder<boolean> {
  const area = areaOf(address);
  const { west, east, north, south } = area;
  const runs = runsOf(area).map(({ from, to }) => sql`tile.place between ${from} and ${to}`);
  return sql`(${sql.join(runs, sql` or `)}) and tile.y between ${north} and ${south}
    and ${xOfPlace} between ${west} and ${east}`;
}
