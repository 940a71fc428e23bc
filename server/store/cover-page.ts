import { type Kysely, type RawBuilder, sql } from 'kysely';
import { type StatusCode, statusCodes } from '#shared/status.ts';
import { type CoverConditions, conditionsOf, shownStatus } from './selection.ts';
import type { Tables } from './tables.ts';

export type CoverSort = 'id' | 'street' | 'status' | 'netBuildup' | 'worst' | 'remaining';

export interface CoverOrder {
  sort: CoverSort;
  direction: 'up' | 'down';
}

/** Where a page ended: values of the sort at its last row, null for one that has none, and that row's id. */
export interface CoverPlaceInOrder {
  values: (string | number)[] | null;
  id: string;
}

interface ProjectKey {
  agencyId: string;
  projectId: string;
}

/** One part of an order; rows where the first one is null come last, in the order of their ids. */
interface SortKey {
  value: RawBuilder<unknown>;
  type: 'text' | 'float8' | 'int';
  isDown: boolean;
}

function keysOf({ sort, direction }: CoverOrder): SortKey[] {
  const isDown = direction === 'down';
  const codes: readonly StatusCode[] = statusCodes;
  switch (sort) {
    case 'id':
      return [];
    case 'street':
      return [
        { value: sql`structure.street`, type: 'text', isDown },
        { value: sql`coalesce(cover.station_m, 'Infinity')`, type: 'float8', isDown },
      ];
    case 'status':
      return [
        {
          value: sql`array_position(${codes as string[]}::text[], ${shownStatus})`,
          type: 'int',
          isDown,
        },
      ];
    case 'netBuildup':
      return [{ value: sql`cover.net_buildup_m`, type: 'float8', isDown }];
    case 'worst':
      return [{ value: sql`cover.worst_m`, type: 'float8', isDown }];
    case 'remaining':
      // What is left is the limit less what is there.
      return [{ value: sql`structure.buildup_m`, type: 'float8', isDown: !isDown }];
  }
}

export interface CoverListAsked {
  order: CoverOrder;
  conditions: CoverConditions;
  /** null: from the first one on, or, backward, from the last one. */
  after: CoverPlaceInOrder | null;
  limit: number;
  /** Those before the place instead, the ones next to it; in the same order. */
  isBackward?: boolean;
}

/**
 * Ids of covers of a project after a place in an order, in that order, at most so many; each with its own place. Rows
 * that have no value to be sorted by follow all others.
 */
export async function listCoverIds(
  db: Kysely<Tables>,
  project: ProjectKey,
  { order, conditions, after, limit, isBackward = false }: CoverListAsked,
): Promise<CoverPlaceInOrder[]> {
  const keys = keysOf(order);
  const asked = { project, conditions, keys, limit, isBackward };
  const ofId = async (isDown: boolean, condition: RawBuilder<boolean>, from: string | null, most = limit) => {
    const isFlipped = isDown !== isBackward;
    const found = await pickById(db, { ...asked, condition, after: from, isDown: isFlipped, limit: most });
    return isBackward ? found.reverse() : found;
  };
  if (keys.length === 0) return ofId(order.direction === 'down', sql`true`, after?.id ?? null);
  const withoutValue = sql<boolean>`${keys[0].value} is null`;
  if (!isBackward) {
    const found = after?.values === null ? [] : await pickByKeys(db, { ...asked, after });
    if (found.length === limit) return found;
    const from = after?.values === null ? after.id : null;
    return [...found, ...(await ofId(false, withoutValue, from, limit - found.length))];
  }
  if (after?.values) return (await pickByKeys(db, { ...asked, after })).reverse();
  const last = await ofId(false, withoutValue, after?.id ?? null);
  if (last.length === limit) return last;
  const found = await pickByKeys(db, { ...asked, after: null, limit: limit - last.length });
  return [...found.reverse(), ...last];
}

interface Asked {
  project: ProjectKey;
  conditions: CoverConditions;
  keys: readonly SortKey[];
  limit: number;
  isBackward: boolean;
}

const rows = ({ agencyId, projectId }: ProjectKey, conditions: CoverConditions) => sql`
  from project_covers as cover
  join structures as structure
    on structure.agency_id = cover.agency_id and structure.structure_id = cover.structure_id
  where cover.agency_id = ${agencyId} and cover.project_id = ${projectId} and structure.agency_id = ${agencyId}
    and ${conditionsOf(conditions)}`;

async function pickById(
  db: Kysely<Tables>,
  {
    project,
    conditions,
    condition,
    after,
    isDown,
    limit,
  }: Asked & {
    condition: RawBuilder<boolean>;
    after: string | null;
    isDown: boolean;
  },
): Promise<CoverPlaceInOrder[]> {
  const { rows: found } = await sql<{ id: string }>`
    select cover.structure_id as id ${rows(project, conditions)} and ${condition}
      and ${after === null ? sql`true` : idBeyond(after, isDown)}
    order by cover.structure_id ${isDown ? sql`desc` : sql`asc`} limit ${limit}`.execute(db);
  return found.map(({ id }) => ({ values: null, id }));
}

/** Backward the rows come in the opposite order. */
async function pickByKeys(
  db: Kysely<Tables>,
  {
    project,
    conditions,
    keys: inOrder,
    after,
    limit,
    isBackward,
  }: Asked & { after: CoverPlaceInOrder | null },
): Promise<CoverPlaceInOrder[]> {
  const keys = inOrder.map((key) => ({ ...key, isDown: key.isDown !== isBackward }));
  const names = keys.map((_, index) => sql.ref(`key_${index}`));
  const columns = keys.map(({ value }, index) => sql`${value} as ${names[index]}`);
  const orders = keys.map(({ value, isDown }) => sql`${value} ${isDown ? sql`desc` : sql`asc`}`);
  orders.push(sql`cover.structure_id ${isBackward ? sql`desc` : sql`asc`}`);
  const later = after?.values ? beyond(keys, after.values, idBeyond(after.id, isBackward)) : sql`true`;
  const { rows: found } = await sql<Record<string, string | number>>`
    select cover.structure_id as id, ${sql.join(columns)} ${rows(project, conditions)}
      and ${keys[0].value} is not null and ${later}
    order by ${sql.join(orders)} limit ${limit}`.execute(db);
  return found.map((row) => ({ values: keys.map((_, index) => row[`key_${index}`]), id: String(row.id) }));
}

const idBeyond = (id: string, isDown: boolean): RawBuilder<boolean> =>
  isDown ? sql`cover.structure_id < ${id}` : sql`cover.structure_id > ${id}`;

/** Rows that come after the given values and id; the first condition is one that an index can begin at. */
function beyond(
  keys: readonly SortKey[],
  values: readonly (string | number)[],
  idIsBeyond: RawBuilder<boolean>,
): RawBuilder<boolean> {
  const literals = keys.map(({ type }, index) => sql`${values[index]}::${sql.raw(type)}`);
  const steps = keys.map(({ value, isDown }, index) => {
    const same = keys.slice(0, index).map((key, each) => sql`${key.value} = ${literals[each]}`);
    const later = isDown ? sql`${value} < ${literals[index]}` : sql`${value} > ${literals[index]}`;
    return sql`(${sql.join([...same, later], sql` and `)})`;
  });
  const allSame = keys.map(({ value }, index) => sql`${value} = ${literals[index]}`);
  const last = sql`(${sql.join([...allSame, idIsBeyond], sql` and `)})`;
  const [first] = keys;
  const from = first.isDown ? sql`${first.value} <= ${literals[0]}` : sql`${first.value} >= ${literals[0]}`;
  return sql`${from} and (${sql.join([...steps, last], sql` or `)})`;
}
