import { type Kysely, type RawBuilder, sql } from 'kysely';
import type { OverlayCandidate } from '#core/register/overlay.ts';
import { copyOut } from './copyOut.ts';
import type { Database } from './database.ts';
import { inlined } from './inlined.ts';
import { insideArea, type LonLatPolygon } from './selection.ts';
import type { Tables } from './tables.ts';
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
    select structure.rim_elevation_m, structure.seat_elevation_m, structure.frame_height_m, structure.located,
      structure.chimney_unsound, structure.frame_unsound, structure.adjustment = 'telescoping'
    from structures as structure ${coversOnly(scope)} where ${within(scope)}`;
  const text = inlined(database.kysely, select);
  await inTransaction(
    database,
    async ({ sql: connection }) => {
      await copyOut(connection, text, (row) => {
        take({
          rim: row.doubleOrNull(),
          seat: row.doubleOrNull(),
          frameHeight: row.double(),
          located: row.boolOrNull(),
          chimneyUnsound: row.boolOrNull(),
          frameUnsound: row.boolOrNull(),
          telescoping: row.boolOrNull() === true,
        });
      });
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
