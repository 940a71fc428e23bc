import { type Kysely, sql } from 'kysely';
import type { Tables } from './tables.ts';
import type { LonLatBounds } from './tiles/summary.ts';

interface ProjectKey {
  agencyId: string;
  projectId: string;
}

/** The rectangle of the project's grid that its shots, faces and lines lie in, metres; null where it has none. */
export async function findDrawnBounds(
  db: Kysely<Tables>,
  { agencyId, projectId }: ProjectKey,
): Promise<LonLatBounds | null> {
  const { rows } = await sql<Row>`
    select min(west) as west, min(south) as south, max(east) as east, max(north) as north from (
      select min(easting_m) as west, min(northing_m) as south, max(easting_m) as east, max(northing_m) as north
      from shots where agency_id = ${agencyId} and project_id = ${projectId}
      union all
      select min(west_m), min(south_m), max(east_m), max(north_m)
      from face_blocks where agency_id = ${agencyId} and project_id = ${projectId}
      union all
      select min((place ->> 0)::float8), min((place ->> 1)::float8), max((place ->> 0)::float8),
        max((place ->> 1)::float8)
      from lines, jsonb_array_elements(positions) as place
      where agency_id = ${agencyId} and project_id = ${projectId}) as drawn`.execute(db);
  return toBounds(rows[0]);
}

interface Row {
  west: number | null;
  south: number | null;
  east: number | null;
  north: number | null;
}

function toBounds({ west, south, east, north }: Row): LonLatBounds | null {
  if (west === null || south === null || east === null || north === null) return null;
  return [west, south, east, north];
}
