import { type Kysely, sql } from 'kysely';
import type { Tables } from '../tables.ts';
import { placeBits } from './places.ts';

interface ProjectKey {
  agencyId: string;
  projectId: string;
}

/** West, south, east, north. */
export type LonLatBounds = [number, number, number, number];

/** Covers of a project by the status that the map shows, `unplanned` for none: from the counts that the writes keep. */
export async function countStatuses(
  db: Kysely<Tables>,
  { agencyId, projectId }: ProjectKey,
): Promise<Record<string, number>> {
  const { rows } = await sql<{ status: string; covers: number }>`
    select coalesce(nullif(status, ''), 'unplanned') as status, sum(covers)::integer as covers from tile_counts
    where agency_id = ${agencyId} and zoom = 0 and project_id = ${projectId}
    group by 1 having sum(covers) > 0 order by 1`.execute(db);
  return Object.fromEntries(rows.map(({ status, covers }) => [status, covers]));
}

/** A text that is another after every change to a structure of the project, to its covers or to their plan. */
export const findProjectRevision = (db: Kysely<Tables>, key: ProjectKey): Promise<string> =>
  findScopeRevision(db, key);

/** The same of a project or, where that is null, of the whole register. */
export async function findScopeRevision(
  db: Kysely<Tables>,
  { agencyId, projectId }: { agencyId: string; projectId: string | null },
): Promise<string> {
  const { rows } = await sql<{ revision: string }>`
    select coalesce(sum(revision), 0)::text as revision from tile_revisions
    where agency_id = ${agencyId} and ${projectId === null ? sql`true` : sql`project_id = ${projectId}`}`.execute(
    db,
  );
  return rows[0].revision;
}

/**
 * Where the covers of a project lie, degrees; null without covers. In each strip of places the first and the last one stand
 * farthest west and east, so that only the outermost two strips are read whole.
 */
export async function findProjectBounds(
  db: Kysely<Tables>,
  { agencyId, projectId }: ProjectKey,
): Promise<LonLatBounds | null> {
  const covers = sql`tile_covers where agency_id = ${agencyId} and project_id = ${projectId}`;
  const bits = sql.lit(placeBits);
  const first = sql`(strip.number << ${bits})`;
  const behind = sql`(strip.number + 1 << ${bits})`;
  const inStrip = sql`${covers} and place >= ${first} and place < ${behind}`;
  const { rows } = await sql<{ west: number | null; south: number; east: number; north: number }>`
    with recursive strip (number) as (
      (select place >> ${bits} from ${covers} order by place limit 1)
      union all
      select (select place >> ${bits} from ${covers} and place >= ${behind} order by place limit 1)
      from strip where number is not null
    ), outermost (structure_id) as (
      select unnest(array[
        (select structure_id from ${inStrip} order by place limit 1),
        (select structure_id from ${inStrip} order by place desc limit 1)])
      from strip
      union all
      select unnest(array[
        (select structure_id from ${inStrip} order by y limit 1),
        (select structure_id from ${inStrip} order by y desc limit 1)])
      from strip where number in ((select min(number) from strip), (select max(number) from strip))
    )
    select min(lon) as west, min(lat) as south, max(lon) as east, max(lat) as north
    from structures where agency_id = ${agencyId} and structure_id in (select structure_id from outermost)`.execute(
    db,
  );
  const [{ west, south, east, north }] = rows;
  return west === null ? null : [west, south, east, north];
}
