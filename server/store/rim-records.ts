import { type Kysely, sql } from 'kysely';
import type { RimRecord, RimSource } from '#shared/rim-record.ts';
import type { Tables } from './tables.ts';

/** How rims came to be what the register says they are. */
export interface RimOrigin {
  source: RimSource;
  importId?: string;
  who?: string | null;
  note?: string | null;
}

/** Adds the rims of structures as the register has them now, of today; those that have none are passed over. */
export async function recordRims(
  db: Kysely<Tables>,
  agencyId: string,
  ids: readonly string[],
  { source, importId, who, note }: RimOrigin,
): Promise<void> {
  if (ids.length === 0) return;
  await sql`
    insert into rim_records (agency_id, structure_id, date, rim_elevation_m, seat_elevation_m, frame_height_m, source,
      who, note, import_batch_id)
    select agency_id, structure_id, (now() at time zone 'utc')::date, rim_elevation_m, seat_elevation_m, frame_height_m,
      ${source}, ${who ?? null}, ${note ?? null}, ${importId ?? null}::uuid
    from structures
    where agency_id = ${agencyId} and structure_id = any(${ids as string[]}::text[]) and rim_elevation_m is not null
    order by structure_id`.execute(db);
}

export interface LevelledRim {
  date: string;
  rimElevationM: number;
  pavementElevationM: number | null;
  who: string | null;
  note: string | null;
  /** Of the acceptance that brought it. */
  fieldRecordId?: string;
}

/** Adds a rim that somebody levelled, over the seat and with the frame that the register has; gives its id. */
export async function insertLevelledRim(
  db: Kysely<Tables>,
  agencyId: string,
  structureId: string,
  rim: LevelledRim,
): Promise<number> {
  const { rows } = await sql<{ id: number }>`
    insert into rim_records (agency_id, structure_id, date, rim_elevation_m, pavement_elevation_m, seat_elevation_m,
      frame_height_m, source, who, note, field_record_id)
    select agency_id, structure_id, ${rim.date}, ${rim.rimElevationM}, ${rim.pavementElevationM}, seat_elevation_m,
      frame_height_m, 'levelled', ${rim.who}, ${rim.note}, ${rim.fieldRecordId ?? null}::uuid
    from structures where agency_id = ${agencyId} and structure_id = ${structureId}
    returning rim_record_id as id`.execute(db);
  return rows[0].id;
}

/** Latest day of a structure's records; null where it has none. */
export async function latestRimDate(
  db: Kysely<Tables>,
  agencyId: string,
  structureId: string,
): Promise<string | null> {
  const row = await db
    .selectFrom('rim_records')
    .select((eb) => eb.fn.max('date').as('date'))
    .where('agency_id', '=', agencyId)
    .where('structure_id', '=', structureId)
    .where('withdrawn_at', 'is', null)
    .executeTakeFirst();
  return row?.date ?? null;
}

/** A structure's records of a hundred years of months; more are not read. */
const mostRecords = 1200;

/** The records of a structure that stand, in the order of their days and as they came. */
export async function listRimRecords(
  db: Kysely<Tables>,
  agencyId: string,
  structureId: string,
): Promise<RimRecord[]> {
  const rows = await db
    .selectFrom('rim_records')
    .selectAll()
    .where('agency_id', '=', agencyId)
    .where('structure_id', '=', structureId)
    .where('withdrawn_at', 'is', null)
    .orderBy('date', 'desc')
    .orderBy('rim_record_id', 'desc')
    .limit(mostRecords)
    .execute();
  return rows.reverse().map((row) => ({
    id: row.rim_record_id,
    date: row.date,
    rimElevationM: row.rim_elevation_m,
    pavementElevationM: row.pavement_elevation_m,
    seatElevationM: row.seat_elevation_m,
    frameHeightM: row.frame_height_m,
    source: row.source,
    who: row.who,
    note: row.note,
    importId: row.import_batch_id,
    recordedAt: row.created_at.toISOString(),
  }));
}

/** The rims that stand and came from acceptances of a structure. */
export async function findAcceptedRims(
  db: Kysely<Tables>,
  agencyId: string,
  structureId: string,
): Promise<{ recordId: string; rimElevationM: number }[]> {
  const { rows } = await sql<{ recordId: string; rimElevationM: number }>`
    select field_record_id as "recordId", rim_elevation_m as "rimElevationM" from rim_records
    where agency_id = ${agencyId} and structure_id = ${structureId} and field_record_id is not null
      and withdrawn_at is null`.execute(db);
  return rows;
}

/** After acceptances were taken back: their rims no longer stand. */
export async function withdrawAcceptedRims(
  db: Kysely<Tables>,
  agencyId: string,
  structureId: string,
  recordIds: readonly string[],
): Promise<void> {
  await sql`
    update rim_records set withdrawn_at = now()
    where agency_id = ${agencyId} and structure_id = ${structureId}
      and field_record_id = any(${recordIds as string[]}::uuid[]) and withdrawn_at is null`.execute(db);
}

/** After an import was undone: what it said of these rims no longer stands. */
export async function withdrawImportedRims(
  db: Kysely<Tables>,
  agencyId: string,
  importId: string,
  ids: readonly string[],
): Promise<void> {
  await sql`
    update rim_records set withdrawn_at = now()
    where agency_id = ${agencyId} and structure_id = any(${ids as string[]}::text[])
      and import_batch_id = ${importId} and withdrawn_at is null`.execute(db);
}

/** Heights that an edit made, metres: of a record that it brought, those that the edit did not touch say nothing. */
export interface EditedHeights {
  rimElevationM: number;
  seatElevationM?: number | null;
  frameHeightM?: number;
}

/** After an edit was undone: the latest record that said these heights no longer stands. */
export async function withdrawEditedRim(
  db: Kysely<Tables>,
  agencyId: string,
  structureId: string,
  { rimElevationM, seatElevationM, frameHeightM }: EditedHeights,
): Promise<void> {
  const seat =
    seatElevationM === undefined ? sql`true` : sql`seat_elevation_m is not distinct from ${seatElevationM}`;
  const frame = frameHeightM === undefined ? sql`true` : sql`frame_height_m = ${frameHeightM}`;
  await sql`
    update rim_records set withdrawn_at = now()
    where agency_id = ${agencyId} and structure_id = ${structureId} and rim_record_id = (
      select max(rim_record_id) from rim_records
      where agency_id = ${agencyId} and structure_id = ${structureId} and rim_elevation_m = ${rimElevationM}
        and ${seat} and ${frame} and source in ('edit', 'levelled') and withdrawn_at is null)`.execute(db);
}
