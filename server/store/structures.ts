import { isDeepStrictEqual } from 'node:util';
import { type Kysely, type Selectable, sql } from 'kysely';
import type { HistoryEvent, Structure, StructurePatch } from '#shared/structure.ts';
import { mercatorCellOf } from './cell.ts';
import { containing, cutPage, groupBy, inChunks } from './list.ts';
import type { StructureEventsTable, StructuresTable, Tables } from './tables.ts';

export interface StructureFilter {
  q?: string;
  kind?: string;
  owner?: string;
  street?: string;
  limit: number;
  /** Id that the page before ended at. */
  after: string | null;
}

/** What a structure is made from; version and time are the database's. */
export type NewStructure = Omit<Structure, 'updatedAt' | 'version' | 'accessibleRoute'> & {
  /** Absent: as it is. */
  accessibleRoute?: boolean | null;
};

export async function listStructures(
  db: Kysely<Tables>,
  agencyId: string,
  filter: StructureFilter,
): Promise<{ items: Structure[]; last: string | null }> {
  let query = db.selectFrom('structures').selectAll().where('agency_id', '=', agencyId);
  if (filter.kind !== undefined) query = query.where('kind', '=', filter.kind);
  if (filter.owner !== undefined) query = query.where('owner', '=', filter.owner);
  if (filter.street !== undefined) query = query.where('street', '=', filter.street);
  if (filter.q !== undefined) {
    const pattern = containing(filter.q);
    query = query.where((eb) =>
      eb.or([
        eb('structure_id', 'ilike', pattern),
        eb('street', 'ilike', pattern),
        eb('owner', 'ilike', pattern),
      ]),
    );
  }
  if (filter.after !== null) query = query.where('structure_id', '>', filter.after);
  const found = await query
    .orderBy('structure_id')
    .limit(filter.limit + 1)
    .execute();
  const { rows, last } = cutPage(found, filter.limit);
  return { items: rows.map(toStructure), last: last?.structure_id ?? null };
}

export async function findStructure(
  db: Kysely<Tables>,
  agencyId: string,
  structureId: string,
): Promise<Structure | null> {
  const row = await db
    .selectFrom('structures')
    .selectAll()
    .where('agency_id', '=', agencyId)
    .where('structure_id', '=', structureId)
    .executeTakeFirst();
  return row ? toStructure(row) : null;
}

/** The structures of these ids that are there, by id; they stay locked until the transaction ends. */
export async function lockStructures(
  db: Kysely<Tables>,
  agencyId: string,
  ids: readonly string[],
): Promise<Map<string, Structure>> {
  const found = new Map<string, Structure>();
  for (const chunk of inChunks(ids, 10_000)) {
    const rows = await db
      .selectFrom('structures')
      .selectAll()
      .where('agency_id', '=', agencyId)
      .where('structure_id', 'in', chunk)
      .orderBy('structure_id')
      .forUpdate()
      .execute();
    for (const row of rows) found.set(row.structure_id, toStructure(row));
  }
  return found;
}

/** The structures of these ids that are there, by id. */
export async function findStructures(
  db: Kysely<Tables>,
  agencyId: string,
  ids: readonly string[],
): Promise<Map<string, Structure>> {
  const found = new Map<string, Structure>();
  for (const chunk of inChunks(ids, 10_000)) {
    const rows = await db
      .selectFrom('structures')
      .selectAll()
      .where('agency_id', '=', agencyId)
      .where('structure_id', 'in', chunk)
      .execute();
    for (const row of rows) found.set(row.structure_id, toStructure(row));
  }
  return found;
}

/** Ids that are taken already are left as they are and not in the answer. */
export async function insertStructures(
  db: Kysely<Tables>,
  agencyId: string,
  structures: readonly NewStructure[],
  batchId: string | null,
): Promise<string[]> {
  const inserted: string[] = [];
  for (const chunk of inChunks(structures)) {
    const rows = await db
      .insertInto('structures')
      .values(
        chunk.map((structure) => ({ ...toRow(structure), agency_id: agencyId, import_batch_id: batchId })),
      )
      .onConflict((conflict) => conflict.columns(['agency_id', 'structure_id']).doNothing())
      .returning('structure_id')
      .execute();
    inserted.push(...rows.map((row) => row.structure_id));
  }
  return inserted;
}

/** Replaces what the register says of a structure; false where it is no longer at `version`. */
export async function updateStructure(
  db: Kysely<Tables>,
  agencyId: string,
  structure: NewStructure,
  version: number,
): Promise<boolean> {
  const { structure_id: structureId, ...columns } = toRow(structure);
  const result = await db
    .updateTable('structures')
    .set({ ...columns, version: sql`version + 1`, updated_at: new Date() })
    .where('agency_id', '=', agencyId)
    .where('structure_id', '=', structureId)
    .where('version', '=', version)
    .executeTakeFirst();
  return result.numUpdatedRows > 0n;
}

export interface NewEvent {
  structureId: string;
  kind: HistoryEvent['kind'];
  detail: Record<string, unknown>;
}

export async function insertEvents(
  db: Kysely<Tables>,
  agencyId: string,
  events: readonly NewEvent[],
): Promise<void> {
  for (const chunk of inChunks(events)) {
    const rows = chunk.map((event) => ({
      agency_id: agencyId,
      structure_id: event.structureId,
      kind: event.kind,
      detail: event.detail,
    }));
    await db.insertInto('structure_events').values(rows).execute();
  }
}

/** Fields of one change with [before, after]; null where the event is no change of the register's fields. */
export async function findEdit(
  db: Kysely<Tables>,
  agencyId: string,
  { structureId, eventId }: { structureId: string; eventId: number },
): Promise<Record<string, [unknown, unknown]> | null> {
  const row = await db
    .selectFrom('structure_events')
    .select('detail')
    .where('agency_id', '=', agencyId)
    .where('structure_id', '=', structureId)
    .where('event_id', '=', eventId)
    .where('kind', '=', 'changed')
    .executeTakeFirst();
  const edited = Object.entries(row?.detail ?? {}).filter(
    (entry): entry is [string, [unknown, unknown]] =>
      (comparedFields as readonly string[]).includes(entry[0]) && Array.isArray(entry[1]),
  );
  return edited.length === 0 ? null : Object.fromEntries(edited);
}

const longestHistory = 100;

/** The latest events first. */
export async function listEvents(
  db: Kysely<Tables>,
  agencyId: string,
  structureId: string,
): Promise<HistoryEvent[]> {
  return (await findEvents(db, agencyId, [structureId])).get(structureId) ?? [];
}

/** The latest events of structures first, by structure. */
export async function findEvents(
  db: Kysely<Tables>,
  agencyId: string,
  structureIds: readonly string[],
): Promise<Map<string, HistoryEvent[]>> {
  const { rows } = await sql<Selectable<StructureEventsTable>>`
    select structure_id, event_id, kind, detail, created_at
    from (
      select *, row_number() over (partition by structure_id order by event_id desc) as number from structure_events
      where agency_id = ${agencyId} and structure_id = any(${structureIds as string[]}::text[])
    ) as event
    where number <= ${longestHistory}
    order by structure_id, event_id desc`.execute(db);
  return groupBy(
    rows.map((row) => ({
      structureId: row.structure_id,
      id: row.event_id,
      at: row.created_at.toISOString(),
      kind: row.kind,
      detail: row.detail,
    })),
    'structureId',
  );
}

/** Fields that differ, each with [before, after]; empty where nothing changed. */
export function changesBetween(
  before: NewStructure,
  after: NewStructure | (NewStructure & StructurePatch),
): Record<string, [unknown, unknown]> {
  const changes: Record<string, [unknown, unknown]> = {};
  for (const field of comparedFields) {
    const [was, is] = [before[field], after[field]];
    if (is === undefined) continue;
    if (!isDeepStrictEqual(was, is)) changes[field] = [was, is];
  }
  return changes;
}

/** All that a register states; longitude and latitude follow from the grid position. */
const comparedFields = [
  'kind',
  'owner',
  'street',
  'crs',
  'eastingM',
  'northingM',
  'seatElevationM',
  'seatGradientEast',
  'seatGradientNorth',
  'rimElevationM',
  'frameHeightM',
  'rimDiameterM',
  'roadBearingDeg',
  'setDownM',
  'adjustment',
  'condition',
  'structureDepthM',
  'structureDiameterM',
  'accessibleRoute',
] as const satisfies readonly (keyof NewStructure)[];

function toRow(structure: NewStructure) {
  return {
    structure_id: structure.id,
    kind: structure.kind,
    owner: structure.owner,
    street: structure.street,
    lon: structure.lon,
    lat: structure.lat,
    cell: mercatorCellOf(structure.lon, structure.lat),
    crs: structure.crs,
    easting_m: structure.eastingM,
    northing_m: structure.northingM,
    seat_elevation_m: structure.seatElevationM,
    seat_gradient_east: structure.seatGradientEast,
    seat_gradient_north: structure.seatGradientNorth,
    rim_elevation_m: structure.rimElevationM,
    frame_height_m: structure.frameHeightM,
    rim_diameter_m: structure.rimDiameterM,
    road_bearing_deg: structure.roadBearingDeg,
    set_down_m: structure.setDownM,
    adjustment: structure.adjustment,
    located: structure.condition.located,
    chimney_unsound: structure.condition.chimneyUnsound,
    frame_unsound: structure.condition.frameUnsound,
    structure_depth_m: structure.structureDepthM,
    structure_diameter_m: structure.structureDiameterM,
    ...(structure.accessibleRoute === undefined ? {} : { accessible_route: structure.accessibleRoute }),
  };
}

export function toStructure(row: Selectable<StructuresTable>): Structure {
  return {
    id: row.structure_id,
    kind: row.kind,
    owner: row.owner,
    street: row.street,
    lon: row.lon,
    lat: row.lat,
    crs: row.crs,
    eastingM: row.easting_m,
    northingM: row.northing_m,
    seatElevationM: row.seat_elevation_m,
    seatGradientEast: row.seat_gradient_east,
    seatGradientNorth: row.seat_gradient_north,
    rimElevationM: row.rim_elevation_m,
    frameHeightM: row.frame_height_m,
    rimDiameterM: row.rim_diameter_m,
    roadBearingDeg: row.road_bearing_deg,
    setDownM: row.set_down_m,
    adjustment: row.adjustment,
    condition: {
      located: row.located,
      chimneyUnsound: row.chimney_unsound,
      frameUnsound: row.frame_unsound,
    },
    structureDepthM: row.structure_depth_m,
    structureDiameterM: row.structure_diameter_m,
    accessibleRoute: row.accessible_route,
    updatedAt: row.updated_at.toISOString(),
    version: row.version,
  };
}
