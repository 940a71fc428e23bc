import { type Kysely, type RawBuilder, sql } from 'kysely';
import type { FoundName, FoundOwner, FoundStructure } from '#shared/search.ts';
import { containing } from './list.ts';
import type { Tables } from './tables.ts';

/** Beginning with a text, for LIKE with its default escape. */
const beginning = (text: string): string => containing(text).slice(1);

/**
 * Structures by their id: those that begin with the text, then those whose number does, then those that hold it
 * anywhere. The first two are ranges of an index; the third reads the ids alone, and only where the two left room.
 */
export async function searchStructures(
  db: Kysely<Tables>,
  agencyId: string,
  { text, limit }: { text: string; limit: number },
): Promise<{ items: FoundStructure[]; more: boolean }> {
  const lower = text.toLowerCase();
  const found = new Map<string, FoundStructure['match']>();
  const add = (ids: readonly string[], match: FoundStructure['match']) => {
    for (const id of ids) if (!found.has(id)) found.set(id, id.toLowerCase() === lower ? 'id' : match);
  };
  const find = async (condition: RawBuilder<boolean>, order: RawBuilder<unknown>) => {
    const { rows } = await sql<{ id: string }>`
      select structure_id as id from structures where agency_id = ${agencyId} and ${condition}
      order by ${order} limit ${limit + 1}`.execute(db);
    return rows.map(({ id }) => id);
  };
  const byId = sql`lower(structure_id) using ~<~`;
  add(await find(sql`lower(structure_id) like ${beginning(lower)}`, byId), 'start');
  if (found.size <= limit && /^\d+$/.test(text)) {
    const number = sql`ltrim(regexp_replace(structure_id, '^[^0-9]*', ''), '0')`;
    const digits = text.replace(/^0+/, '');
    if (digits !== '')
      add(await find(sql`${number} like ${beginning(digits)}`, sql`${number} using ~<~`), 'part');
  }
  if (found.size <= limit)
    add(await find(sql`lower(structure_id) like ${containing(lower)}`, sql`structure_id`), 'part');
  const items = await describe(db, agencyId, [...found].slice(0, limit));
  return { items, more: found.size > limit };
}

async function describe(
  db: Kysely<Tables>,
  agencyId: string,
  found: readonly [string, FoundStructure['match']][],
): Promise<FoundStructure[]> {
  const { rows } = await sql<Omit<FoundStructure, 'match'>>`
    select structure.structure_id as id, structure.kind, structure.owner, structure.street, structure.lon, structure.lat,
      array(
        select cover.project_id from project_covers as cover
        join projects as project on project.agency_id = cover.agency_id and project.project_id = cover.project_id
        where cover.agency_id = structure.agency_id and cover.structure_id = structure.structure_id
        order by project.created_at desc, cover.project_id) as projects
    from structures as structure
    where structure.agency_id = ${agencyId} and structure.structure_id = any(${found.map(([id]) => id)}::text[])
  `.execute(db);
  const byId = new Map(rows.map((row) => [row.id, row]));
  return found.flatMap(([id, match]) => {
    const row = byId.get(id);
    return row ? [{ ...row, match }] : [];
  });
}

/** Streets that begin with the text, then those that hold it anywhere, each with what lies along it. */
export async function searchStreets(
  db: Kysely<Tables>,
  agencyId: string,
  { text, limit }: { text: string; limit: number },
): Promise<FoundName[]> {
  const lower = text.toLowerCase();
  const names = await walkStreets(db, agencyId, {
    start: beginning(lower),
    pattern: beginning(lower),
    limit,
  });
  if (names.length < limit) {
    const rest = await walkStreets(db, agencyId, {
      start: '%',
      pattern: containing(lower),
      limit: limit * 2,
    });
    for (const name of rest) if (!names.includes(name) && names.length < limit) names.push(name);
  }
  const { rows } = await sql<{ name: string; structures: number; bounds: number[] }>`
    select street as name, count(*) as structures, array[min(lon), min(lat), max(lon), max(lat)] as bounds
    from structures where agency_id = ${agencyId} and street = any(${names}::text[])
    group by street`.execute(db);
  const byName = new Map(rows.map((row) => [row.name, row]));
  return names.flatMap((name) => {
    const row = byName.get(name);
    return row ? [{ name, structures: row.structures, boundsLonLat: row.bounds }] : [];
  });
}

/** Names of streets one by one: the index is asked for the next one after each, so that no structure is read twice. */
async function walkStreets(
  db: Kysely<Tables>,
  agencyId: string,
  { start, pattern, limit }: { start: string; pattern: string; limit: number },
): Promise<string[]> {
  const next = (later: RawBuilder<boolean>) => sql`
    select lower(street) as lowered, street from structures
    where agency_id = ${agencyId} and lower(street) like ${start} and ${later}
    order by lower(street) using ~<~, street limit 1`;
  const { rows } = await sql<{ street: string }>`
    with recursive walk as (
      (${next(sql`true`)})
      union all
      select later.lowered, later.street from walk, lateral (
        select lower(street) as lowered, street from structures
        where agency_id = ${agencyId} and lower(street) like ${start} and lower(street) ~>~ walk.lowered
        order by lower(street) using ~<~, street limit 1) as later
    )
    select street from walk where lowered like ${pattern} limit ${limit}`.execute(db);
  return rows.map(({ street }) => street);
}

/** Owners that hold the text, from the counts of the tiles. */
export async function searchOwners(
  db: Kysely<Tables>,
  agencyId: string,
  { text, limit }: { text: string; limit: number },
): Promise<FoundOwner[]> {
  const { rows } = await sql<FoundOwner>`
    select owner as name, sum(covers)::bigint as structures from tile_counts
    where agency_id = ${agencyId} and zoom = 0 and leads and owner <> ''
      and lower(owner) like ${containing(text.toLowerCase())}
    group by owner having sum(covers) > 0 order by sum(covers) desc, owner limit ${limit}`.execute(db);
  return rows;
}
