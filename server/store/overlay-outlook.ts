import { type Kysely, type RawBuilder, sql } from 'kysely';
import type { OverlayCandidate } from '#core/register/overlay.ts';
import { copyOut, type RowReader } from './copyOut.ts';
import type { Database } from './database.ts';
import { inlined } from './inlined.ts';
import { insideArea, type LonLatPolygon } from './selection.ts';
import type { Tables } from './tables.ts';
import type { TileAddress } from './tiles/area.ts';
import { insideTile } from './tiles/chosen.ts';
import { xOfPlace } from './tiles/places.ts';
import { inTransaction } from './transaction.ts';

/** Which structures are asked about: all that is given has to be true. */
export interface OutlookScope {
  agencyId: string;
  /** Covers of this project only. */
  projectId: string | null;
  streets: readonly string[] | null;
  area: readonly LonLatPolygon[] | null;
}

/** A structure with what decides about an overlay on it. */
export interface OutlookStructure extends OverlayCandidate {
  id: string;
  kind: string;
  owner: string | null;
  street: string | null;
  lon: number;
  lat: number;
}

/** Structures after an id, in the order of their ids, at most so many. */
export async function listOutlookStructures(
  db: Kysely<Tables>,
  scope: OutlookScope,
  { after, limit }: { after: string | null; limit: number },
): Promise<OutlookStructure[]> {
  const later = after === null ? sql`true` : sql`structure.structure_id > ${after}`;
  const { rows } = await sql<OutlookStructure>`
    select structure.structure_id as id, structure.kind, structure.owner, structure.street, structure.lon,
      structure.lat, ${candidateColumns}
    from structures as structure ${coversOnly(scope)}
    where ${within(scope)} and ${later}
    order by structure.structure_id limit ${limit}`.execute(db);
  return rows;
}

export async function findOutlookStructure(
  db: Kysely<Tables>,
  agencyId: string,
  structureId: string,
): Promise<OutlookStructure | null> {
  const { rows } = await sql<OutlookStructure>`
    select structure_id as id, kind, owner, street, lon, lat, ${candidateColumns}
    from structures as structure where agency_id = ${agencyId} and structure_id = ${structureId}`.execute(db);
  return rows[0] ?? null;
}

/** Hands every structure that is asked about to `take`, in no order. */
export async function eachOutlookCandidate(
  database: Database,
  scope: OutlookScope,
  take: (candidate: OverlayCandidate) => void,
): Promise<void> {
  const select = sql`
    select ${copiedColumns} from structures as structure ${coversOnly(scope)} where ${within(scope)}`;
  await copyAll(database, select, (row) => take(candidateOf(row)));
}

/** A structure at its place in Web Mercator's square of 2^30. */
interface Placed {
  x: number;
  y: number;
}

/** The same, each with its place. */
export async function eachPlacedCandidate(
  database: Database,
  scope: OutlookScope,
  take: (candidate: OverlayCandidate & Placed) => void,
): Promise<void> {
  const select = sql`select ${copiedColumns}, ${xOfPlace}::integer, tile.y ${placedRows(scope)}`;
  await copyAll(database, select, (row) => take({ ...candidateOf(row), x: row.integer(), y: row.integer() }));
}

/** Those that lie in a tile, or in its buffer, each with its place and its number, in the order of these. */
export async function listPlacedStructures(
  db: Kysely<Tables>,
  scope: OutlookScope,
  address: TileAddress,
): Promise<(OutlookStructure & Placed & { number: number })[]> {
  const { rows } = await sql<OutlookStructure & Placed & { number: number }>`
    select structure.structure_id as id, structure.kind, structure.owner, structure.street, structure.lon,
      structure.lat, ${candidateColumns}, tile.feature_id as number, ${xOfPlace} as x, tile.y
    ${placedRows(scope)} and ${insideTile(address)} order by tile.feature_id`.execute(db);
  return rows;
}

const placedRows = (scope: OutlookScope) => sql`
  from tile_covers as tile
  join structures as structure on structure.agency_id = tile.agency_id and structure.structure_id = tile.structure_id
  where tile.agency_id = ${scope.agencyId} and ${within(scope)}
    and ${scope.projectId === null ? sql`tile.leads` : sql`tile.project_id = ${scope.projectId}`}`;

const copiedColumns = sql`structure.rim_elevation_m, structure.seat_elevation_m, structure.frame_height_m,
  structure.located, structure.chimney_unsound, structure.frame_unsound, structure.adjustment = 'telescoping'`;

const candidateOf = (row: RowReader): OverlayCandidate => ({
  rim: row.doubleOrNull(),
  seat: row.doubleOrNull(),
  frameHeight: row.double(),
  located: row.boolOrNull(),
  chimneyUnsound: row.boolOrNull(),
  frameUnsound: row.boolOrNull(),
  telescoping: row.boolOrNull() === true,
});

/** In a transaction on a connection of its own. */
async function copyAll(
  database: Database,
  select: RawBuilder<unknown>,
  take: (row: RowReader) => void,
): Promise<void> {
  const text = inlined(database.kysely, select);
  await inTransaction(
    database,
    async ({ sql: connection }) => {
      await copyOut(connection, text, take);
    },
    'own',
  );
}

const candidateColumns = sql`structure.rim_elevation_m as rim, structure.seat_elevation_m as seat,
  structure.frame_height_m as "frameHeight", structure.located, structure.chimney_unsound as "chimneyUnsound",
  structure.frame_unsound as "frameUnsound", structure.adjustment = 'telescoping' as telescoping`;

function coversOnly({ projectId }: OutlookScope): RawBuilder<unknown> {
  if (projectId === null) return sql``;
  return sql`join project_covers as cover on cover.agency_id = structure.agency_id
    and cover.structure_id = structure.structure_id and cover.project_id = ${projectId}`;
}

function within({ agencyId, streets, area }: OutlookScope): RawBuilder<boolean> {
  const all: RawBuilder<boolean>[] = [sql`structure.agency_id = ${agencyId}`];
  if (streets) all.push(sql`structure.street = any(${streets as string[]}::text[])`);
  if (area) all.push(insideArea(area));
  return sql`${sql.join(all, sql` and `)}`;
}
