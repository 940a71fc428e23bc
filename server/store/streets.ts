import type { Kysely } from 'kysely';
import type { StreetCollection } from '#shared/street.ts';
import { inChunks } from './list.ts';
import type { Tables } from './tables.ts';

export interface Street {
  id: string;
  name: string;
  widthM: number | null;
  /** [lon, lat], drawn up-station. */
  line: [number, number][];
}

export async function listStreets(db: Kysely<Tables>, agencyId: string): Promise<Street[]> {
  const rows = await db
    .selectFrom('streets')
    .selectAll()
    .where('agency_id', '=', agencyId)
    .orderBy('street_id')
    .execute();
  return rows.map((row) => ({ id: row.street_id, name: row.name, widthM: row.width_m, line: row.line }));
}

export async function insertStreets(
  db: Kysely<Tables>,
  agencyId: string,
  streets: readonly Street[],
): Promise<void> {
  for (const chunk of inChunks(streets)) {
    const rows = chunk.map((street) => ({
      agency_id: agencyId,
      street_id: street.id,
      name: street.name,
      width_m: street.widthM,
      line: street.line,
    }));
    await db.insertInto('streets').values(rows).execute();
  }
}

export function toGeoJson(streets: readonly Street[]): StreetCollection {
  return {
    type: 'FeatureCollection',
    features: streets.map((street) => ({
      type: 'Feature',
      id: street.id,
      geometry: { type: 'LineString', coordinates: street.line },
      properties: { name: street.name, widthM: street.widthM },
    })),
  };
}
