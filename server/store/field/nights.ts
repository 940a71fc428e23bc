import { type Kysely, sql } from 'kysely';
import type { CrewNightHead } from '#shared/crew-night.ts';
import type { Tables } from '../tables.ts';

/** Nights and crews that covers of a project are given to, the latest first; covers of neither are left out. */
export async function listCrewNights(
  db: Kysely<Tables>,
  { agencyId, projectId }: { agencyId: string; projectId: string },
): Promise<CrewNightHead[]> {
  const { rows } = await sql<CrewNightHead>`
    select night, crew, count(*)::integer as covers,
      (count(*) filter (where coalesce(field_status, '') not in ('set', 'accepted')))::integer as left
    from project_covers
    where agency_id = ${agencyId} and project_id = ${projectId} and (night is not null or crew is not null)
    group by night, crew order by night desc nulls last, crew nulls last`.execute(db);
  return rows;
}
