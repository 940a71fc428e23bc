import { type Kysely, type RawBuilder, sql } from 'kysely';
import type { FoundName, FoundOwner, FoundStructure } from '#shared/search.ts';
import { beginning, containing } from './list.ts';
import type { Tables } from './tables.ts';

/**
 * Structures by their id: those that begin with the text, then those whose number does, then those that hold it
 * anywhere. The first two are ranges of an index; the third reads every id, so it is left out where the two found any, and
 * where the text is known to be part of a name (`isName`).
 */
export async function searchStructures(
  db: Kysely<Tables>,
  agencyId: string,
  { text, limit, isName }: { text: string; limit: number; isName: boolean },
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
  if (found.size === 0 && !isName) add(await find(holding(lower), sql`structure_id`), 'part');
  const items = await describe(db, agencyId, [...found].slice(0, limit));
  return { items, more: found.size > limit };
}

/**
 * Ids that hold a text, whatever their letters' case. Putting every id in lower case takes as long as all the rest: only
 * those that hold the text's longest part without letters are.
 */
function holding(lower: string): RawBuilder<boolean> {
  const parts = lower.match(/[\x20-\x60\x7b-\x7e]+/g) ?? [];
  const caseless = parts.reduce((longest, part) => (part.length > longest.length ? part : longest), '');
  const whole = sql<boolean>`lower(structure_id) like ${containing(lower)}`;
  if (caseless === '') return whole;
  const part = sql<boolean>`structure_id like ${containing(caseless)}`;
  return caseless === lower ? part : sql`(${part} and ${whole})`;
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
  const known = await listStreetNames(db, agencyId);
  const begin = known.filter((name) => begins(name, lower));
  const hold = known.filter((name) => !begin.includes(name) && name.toLowerCase().includes(lower));
  const names = [...begin, ...hold].slice(0, limit);
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

const begins = (name: string, lower: string) => name.toLowerCase().startsWith(lower);

/** Names of the agency's streets that begin with a text, whatever the case of its letters. */
export async function findStreetsFrom(db: Kysely<Tables>, agencyId: string, text: string): Promise<string[]> {
  const names = await listStreetNames(db, agencyId);
  return names.filter((name) => begins(name, text.toLowerCase()));
}

/** Names are read again after so long: a new one may be looked for in vain until then, counts are always of now. */
const namesKeptMs = 20_000;
const kept = new WeakMap<Kysely<Tables>, Map<string, { names: Promise<string[]>; until: number }>>();

function listStreetNames(db: Kysely<Tables>, agencyId: string): Promise<string[]> {
  const ofDatabase = kept.get(db) ?? new Map();
  kept.set(db, ofDatabase);
  const last = ofDatabase.get(agencyId);
  if (last && last.until > Date.now()) return last.names;
  const names = walkStreets(db, agencyId);
  ofDatabase.set(agencyId, { names, until: Date.now() + namesKeptMs });
  names.catch(() => ofDatabase.delete(agencyId));
  return names;
}

/** Names of streets one by one: the index is asked for the next one after each, so that no structure is read twice. */
async function walkStreets(db: Kysely<Tables>, agencyId: string): Promise<string[]> {
  const { rows } = await sql<{ street: string }>`
    with recursive walk as (
      (select street from structures where agency_id = ${agencyId} and street is not null order by street limit 1)
      union all
      select (select later.street from structures as later
        where later.agency_id = ${agencyId} and later.street > walk.street order by later.street limit 1)
      from walk where walk.street is not null
    )
    select street from walk where street is not null`.execute(db);
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
