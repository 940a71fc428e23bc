import type { Kysely, Selectable } from 'kysely';
import type { RingCatalogue } from '#shared/ring-catalogue.ts';
import type { RingCataloguesTable, RingsTable, Tables } from './tables.ts';

export async function listRingCatalogues(db: Kysely<Tables>, agencyId: string): Promise<RingCatalogue[]> {
  const [catalogues, rings] = await Promise.all([
    db
      .selectFrom('ring_catalogues')
      .selectAll()
      .where('agency_id', '=', agencyId)
      .orderBy('ring_catalogue_id')
      .execute(),
    db.selectFrom('rings').selectAll().where('agency_id', '=', agencyId).orderBy('position').execute(),
  ]);
  return catalogues.map((row) => toCatalogue(row, rings));
}

export async function findRingCatalogue(
  db: Kysely<Tables>,
  agencyId: string,
  id: string,
): Promise<RingCatalogue | null> {
  const row = await db
    .selectFrom('ring_catalogues')
    .selectAll()
    .where('agency_id', '=', agencyId)
    .where('ring_catalogue_id', '=', id)
    .executeTakeFirst();
  if (!row) return null;
  const rings = await db
    .selectFrom('rings')
    .selectAll()
    .where('agency_id', '=', agencyId)
    .where('ring_catalogue_id', '=', id)
    .orderBy('position')
    .execute();
  return toCatalogue(row, rings);
}

export async function insertRingCatalogue(
  db: Kysely<Tables>,
  agencyId: string,
  catalogue: RingCatalogue,
): Promise<void> {
  const key = { agency_id: agencyId, ring_catalogue_id: catalogue.id };
  await db
    .insertInto('ring_catalogues')
    .values({
      ...key,
      name: catalogue.name,
      unit: catalogue.unit,
      index_positions: catalogue.indexPositions,
      index_from: catalogue.indexFrom,
      max_rings: catalogue.maxRings,
      max_chimney_m: catalogue.maxChimneyM,
      joint_base_m: catalogue.joint.baseM,
      joint_between_m: catalogue.joint.betweenM,
      joint_top_m: catalogue.joint.topM,
    })
    .execute();
  const rows = catalogue.rings.map((ring, position) => ({
    ...key,
    position,
    ring_id: ring.id,
    thin_m: ring.thinM,
    thick_m: ring.thickM,
    outer_diameter_m: ring.outerDiameterM,
    max_per_stack: ring.maxPerStack,
    cost: ring.cost,
    mass_kg: ring.massKg ?? null,
  }));
  await db.insertInto('rings').values(rows).execute();
}

function toCatalogue(row: Selectable<RingCataloguesTable>, rings: Selectable<RingsTable>[]): RingCatalogue {
  return {
    id: row.ring_catalogue_id,
    name: row.name,
    unit: row.unit,
    rings: rings
      .filter((ring) => ring.ring_catalogue_id === row.ring_catalogue_id)
      .map((ring) => ({
        id: ring.ring_id,
        thinM: ring.thin_m,
        thickM: ring.thick_m,
        outerDiameterM: ring.outer_diameter_m,
        maxPerStack: ring.max_per_stack,
        cost: ring.cost,
        ...(ring.mass_kg !== null && { massKg: ring.mass_kg }),
      })),
    indexPositions: row.index_positions,
    indexFrom: row.index_from,
    maxRings: row.max_rings,
    maxChimneyM: row.max_chimney_m,
    joint: { baseM: row.joint_base_m, betweenM: row.joint_between_m, topM: row.joint_top_m },
  };
}

/** The lowest chimney limit among an agency's catalogues, metres; null where it has none. */
export async function leastChimneyLimit(
  db: Kysely<Tables>,
  agencyId: string,
): Promise<{ valueM: number; ringCatalogueId: string } | null> {
  const row = await db
    .selectFrom('ring_catalogues')
    .select(['max_chimney_m', 'ring_catalogue_id'])
    .where('agency_id', '=', agencyId)
    .orderBy('max_chimney_m')
    .orderBy('ring_catalogue_id')
    .limit(1)
    .executeTakeFirst();
  return row ? { valueM: row.max_chimney_m, ringCatalogueId: row.ring_catalogue_id } : null;
}
