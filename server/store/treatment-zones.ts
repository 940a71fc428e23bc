import type { Kysely, Selectable } from 'kysely';
import type { GridPolygon, Tables, TreatmentZonesTable } from './tables.ts';

/** A treatment zone in the project's grid; null in a field = the project's own. */
export interface StoredZone {
  id: string;
  name: string;
  polygons: GridPolygon[];
  millDepthM: number;
  liftsM: number[];
  setDownM: number | null;
  millClearanceM: number | null;
  maxRiserM: number | null;
  version: number;
}

interface ProjectKey {
  agencyId: string;
  projectId: string;
}

/** In the order of their ids. */
export async function listZones(
  db: Kysely<Tables>,
  { agencyId, projectId }: ProjectKey,
): Promise<StoredZone[]> {
  const rows = await db
    .selectFrom('treatment_zones')
    .selectAll()
    .where('agency_id', '=', agencyId)
    .where('project_id', '=', projectId)
    .orderBy('treatment_zone_id')
    .execute();
  return rows.map(toZone);
}

export async function findZone(
  db: Kysely<Tables>,
  { agencyId, projectId }: ProjectKey,
  id: string,
): Promise<StoredZone | null> {
  const row = await db
    .selectFrom('treatment_zones')
    .selectAll()
    .where('agency_id', '=', agencyId)
    .where('project_id', '=', projectId)
    .where('treatment_zone_id', '=', id)
    .executeTakeFirst();
  return row ? toZone(row) : null;
}

/** false where the project has a zone of that id already. */
export async function insertZone(
  db: Kysely<Tables>,
  { agencyId, projectId }: ProjectKey,
  zone: StoredZone,
): Promise<boolean> {
  const result = await db
    .insertInto('treatment_zones')
    .values({
      agency_id: agencyId,
      project_id: projectId,
      treatment_zone_id: zone.id,
      ...toColumns(zone),
    })
    .onConflict((conflict) => conflict.doNothing())
    .executeTakeFirst();
  return (result.numInsertedOrUpdatedRows ?? 0n) > 0n;
}

/** false where the zone is no longer at the version that `zone` was made from. */
export async function updateZone(
  db: Kysely<Tables>,
  { agencyId, projectId }: ProjectKey,
  zone: StoredZone,
): Promise<boolean> {
  const result = await db
    .updateTable('treatment_zones')
    .set({ ...toColumns(zone), version: zone.version + 1 })
    .where('agency_id', '=', agencyId)
    .where('project_id', '=', projectId)
    .where('treatment_zone_id', '=', zone.id)
    .where('version', '=', zone.version)
    .executeTakeFirst();
  return result.numUpdatedRows > 0n;
}

/** false where the zone is no longer at that version. */
export async function deleteZone(
  db: Kysely<Tables>,
  { agencyId, projectId }: ProjectKey,
  { id, version }: { id: string; version: number },
): Promise<boolean> {
  const result = await db
    .deleteFrom('treatment_zones')
    .where('agency_id', '=', agencyId)
    .where('project_id', '=', projectId)
    .where('treatment_zone_id', '=', id)
    .where('version', '=', version)
    .executeTakeFirst();
  return result.numDeletedRows > 0n;
}

function toColumns(zone: StoredZone) {
  return {
    name: zone.name,
    polygons: zone.polygons,
    mill_depth_m: zone.millDepthM,
    lifts_m: zone.liftsM,
    set_down_m: zone.setDownM,
    mill_clearance_m: zone.millClearanceM,
    max_riser_m: zone.maxRiserM,
  };
}

function toZone(row: Selectable<TreatmentZonesTable>): StoredZone {
  return {
    id: row.treatment_zone_id,
    name: row.name,
    polygons: row.polygons,
    millDepthM: row.mill_depth_m,
    liftsM: row.lifts_m,
    setDownM: row.set_down_m,
    millClearanceM: row.mill_clearance_m,
    maxRiserM: row.max_riser_m,
    version: row.version,
  };
}
