import type { CoverQuery } from '#shared/cover.ts';
import { readConditions, readPlace, writePlace } from './cover-list.ts';
import { badField } from './http-problem.ts';
import { nextAddress, previousAddress } from './paging.ts';
import { type CoverOrder, type CoverPlaceInOrder, listCoverIds } from './store/cover-page.ts';
import type { Database } from './store/database.ts';
import { findStreetsFrom } from './store/search.ts';
import type { CoverConditions } from './store/selection.ts';

interface ProjectKey {
  agencyId: string;
  projectId: string;
}

/** Ids of a page of a project's covers, and the addresses of the pages round it. */
export interface CoverIdPage {
  ids: string[];
  next: string | null;
  previous: string | null;
}

const usualLimit = 500;

/** The page that an address asks for: after a place, before one, at a text, or the first one. */
export async function readCoverPage(
  { kysely }: Database,
  key: ProjectKey,
  { url, query }: { url: string; query: CoverQuery },
): Promise<CoverIdPage> {
  const { after, before, at, limit = usualLimit, sort = 'id', direction = 'up', ...filter } = query;
  if ([after, before, at].filter((each) => each !== undefined).length > 1)
    throw badField('/after', 'is given together with another place: give one of after, before and at');
  const order = { sort, direction };
  const conditions = readConditions(filter);
  const list = (from: CoverPlaceInOrder | null, limit: number, isBackward = false) =>
    listCoverIds(kysely, key, { order, conditions, after: from, limit, isBackward });
  const addresses = (page: readonly CoverPlaceInOrder[], { isFirst = false, isLast = false }) => {
    const place = (at: number, isEnd: boolean) => {
      const row = isEnd ? undefined : page.at(at);
      return row ? writePlace(row, order) : null;
    };
    return { next: nextAddress(url, place(-1, isLast)), previous: previousAddress(url, place(0, isFirst)) };
  };
  if (before !== undefined) {
    const found = await list(readPlace(before, order, '/before'), limit + 1, true);
    const page = found.slice(-limit);
    return { ids: page.map(({ id }) => id), ...addresses(page, { isFirst: found.length <= limit }) };
  }
  const start = at === undefined ? null : await findStart({ kysely }, key, { order, conditions, at });
  if (at !== undefined && start === null) return { ids: [], next: null, previous: null };
  const from = after === undefined ? start : readPlace(after, order);
  const found = [...(start ? [start] : []), ...(await list(from, limit + (start ? 0 : 1)))];
  const page = found.slice(0, limit);
  const isFirst = from === null || (start !== null && (await list(start, 1, true)).length === 0);
  return { ids: page.map(({ id }) => id), ...addresses(page, { isFirst, isLast: found.length <= limit }) };
}

/** The first cover whose street, or whose id, begins so; null where none does. */
async function findStart(
  { kysely }: Pick<Database, 'kysely'>,
  key: ProjectKey,
  { order, conditions, at }: { order: CoverOrder; conditions: CoverConditions; at: string },
): Promise<CoverPlaceInOrder | null> {
  if (order.sort !== 'street' && order.sort !== 'id')
    throw badField('/at', 'is a street or an id: sort by one of these', at);
  const begins =
    order.sort === 'id' ? { idBegins: at } : { streets: await findStreetsFrom(kysely, key.agencyId, at) };
  const asked = { order, conditions: { ...conditions, ...begins }, after: null, limit: 1 };
  const [start] = await listCoverIds(kysely, key, asked);
  return start ?? null;
}
