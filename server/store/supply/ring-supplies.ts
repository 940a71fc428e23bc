import { type Kysely, sql } from 'kysely';
import type { RingSuppliesPatch } from '#shared/ring-supply.ts';
import type { Tables } from '../tables.ts';

/** Whose figures: an agency's for one of its catalogues, or those of a project with it. */
export interface SupplyOwner {
  agencyId: string;
  ringCatalogueId: string;
  /** null: the agency's. */
  projectId: string | null;
}

export interface OwnFigures {
  pack: number | null;
  spareShare: number | null;
  spareAtLeast: number | null;
  onHand: number | null;
}

/** What one owner said; null where he said nothing. */
export interface OwnSupplies {
  spareShare: number | null;
  /** By ring. */
  rings: Map<string, OwnFigures>;
  version: number;
}

/** The catalogue and the project are there. */
export async function findOwnSupplies(db: Kysely<Tables>, owner: SupplyOwner): Promise<OwnSupplies> {
  const { rows: heads } = await sql<{ spareShare: number | null; version: number }>`
    select supply_spare_share as "spareShare", supply_version as version from ${headOf(owner)}`.execute(db);
  const { rows } = await sql<OwnFigures & { ring: string }>`
    select ring_id as ring, pack, spare_share as "spareShare", spare_at_least as "spareAtLeast", on_hand as "onHand"
    from ${ringsOf(owner)}`.execute(db);
  return { ...heads[0], rings: new Map(rows.map(({ ring, ...figures }) => [ring, figures])) };
}

/** Changes what one owner said; false where he is no longer at `before`. All rings are of the catalogue. */
export async function changeOwnSupplies(
  db: Kysely<Tables>,
  owner: SupplyOwner,
  before: OwnSupplies,
  { spareShare, rings = [] }: RingSuppliesPatch,
): Promise<boolean> {
  const changed = await sql`
    update ${headOf(owner, false)} set supply_version = supply_version + 1
      ${spareShare === undefined ? sql`` : sql`, supply_spare_share = ${spareShare}`}
    where ${isHead(owner)} and supply_version = ${before.version}`.execute(db);
  if (changed.numAffectedRows !== 1n) return false;
  for (const { ring, ...patch } of rings) {
    const figures: OwnFigures = { ...nothing, ...before.rings.get(ring), ...patch };
    await sql`delete from ${ringsOf(owner)} and ring_id = ${ring}`.execute(db);
    if (Object.values(figures).some((figure) => figure !== null)) await insertRing(db, owner, ring, figures);
  }
  return true;
}

const nothing: OwnFigures = { pack: null, spareShare: null, spareAtLeast: null, onHand: null };

async function insertRing(
  db: Kysely<Tables>,
  { agencyId, ringCatalogueId, projectId }: SupplyOwner,
  ring: string,
  { pack, spareShare, spareAtLeast, onHand }: OwnFigures,
): Promise<void> {
  const row = {
    agency_id: agencyId,
    ring_catalogue_id: ringCatalogueId,
    ring_id: ring,
    pack,
    spare_share: spareShare,
    spare_at_least: spareAtLeast,
    on_hand: onHand,
  };
  if (projectId === null) await db.insertInto('agency_ring_supplies').values(row).execute();
  else
    await db
      .insertInto('project_ring_supplies')
      .values({ ...row, project_id: projectId })
      .execute();
}

const isHead = ({ agencyId, ringCatalogueId, projectId }: SupplyOwner) =>
  projectId === null
    ? sql`agency_id = ${agencyId} and ring_catalogue_id = ${ringCatalogueId}`
    : sql`agency_id = ${agencyId} and project_id = ${projectId}`;

function headOf(owner: SupplyOwner, isWhere = true) {
  const table = sql.table(owner.projectId === null ? 'ring_catalogues' : 'projects');
  return isWhere ? sql`${table} where ${isHead(owner)}` : table;
}

function ringsOf({ agencyId, ringCatalogueId, projectId }: SupplyOwner) {
  const rings = sql`agency_id = ${agencyId} and ring_catalogue_id = ${ringCatalogueId}`;
  return projectId === null
    ? sql`agency_ring_supplies where ${rings}`
    : sql`project_ring_supplies where ${rings} and project_id = ${projectId}`;
}
