import type { SelectionFilter } from '#shared/assignment.ts';
import type { CoverQuery } from '#shared/cover.ts';
import { statusCodes } from '#shared/status.ts';
import { readArea, readCorners } from './area.ts';
import { badField } from './http-problem.ts';
import { decodeKey } from './paging.ts';
import type { CoverOrder, CoverPlaceInOrder } from './store/cover-page.ts';
import type { CoverConditions } from './store/selection.ts';

/** What an address asks of covers, whatever part of their list it wants. */
export type CoverFilter = Omit<CoverQuery, 'after' | 'before' | 'at' | 'limit' | 'sort' | 'direction'>;
type Filter = CoverFilter;

/** The filters of an address. Throws a problem that names the one that does not fit. */
export function readConditions({ status, polygon, ...asked }: Filter): CoverConditions {
  if (asked.night && !isDay(asked.night)) throw badField('/night', 'is no day', asked.night);
  const { ranges, rest } = readRanges(asked);
  return {
    ...rest,
    ...ranges,
    ...(status === undefined ? {} : { statuses: readStatuses(status, '/status') }),
    ...(polygon === undefined ? {} : { area: readCorners(polygon, '/polygon') }),
  };
}

/** The filters of a body, where null asks for covers of no crew or no night. */
export function readSelectionFilter(
  { status, polygon, crew, night, ...asked }: SelectionFilter,
  path: string,
): CoverConditions {
  const { ranges, rest } = readRanges(asked);
  return {
    ...rest,
    ...ranges,
    ...(crew === undefined ? {} : { crew: crew ?? '' }),
    ...(night === undefined ? {} : { night: night ?? '' }),
    ...(status === undefined ? {} : { statuses: readStatuses(status, `${path}/status`) }),
    ...(polygon === undefined ? {} : { area: readArea(polygon, `${path}/polygon`) }),
  };
}

/** A day that the calendar has: 30 February is none. */
export function isDay(text: string): boolean {
  const at = new Date(`${text}T00:00:00Z`);
  return !Number.isNaN(at.getTime()) && at.toISOString().startsWith(text);
}

type Ends = Pick<Filter, 'netBuildupFromM' | 'netBuildupBelowM' | 'worstFromM' | 'worstBelowM'>;

function readRanges<Asked extends Ends>({
  netBuildupFromM,
  netBuildupBelowM,
  worstFromM,
  worstBelowM,
  ...rest
}: Asked) {
  const ranges: Pick<CoverConditions, 'netBuildupM' | 'worstM'> = {};
  if (netBuildupFromM !== undefined || netBuildupBelowM !== undefined)
    ranges.netBuildupM = { from: netBuildupFromM ?? null, below: netBuildupBelowM ?? null };
  if (worstFromM !== undefined || worstBelowM !== undefined)
    ranges.worstM = { from: worstFromM ?? null, below: worstBelowM ?? null };
  return { ranges, rest };
}

function readStatuses(text: string, path: string): string[] {
  const statuses = text.split(',');
  const known: readonly string[] = [...statusCodes, 'unplanned'];
  const unknown = statuses.find((status) => !known.includes(status));
  if (unknown !== undefined) throw badField(path, `"${unknown}" is none of ${known.join(', ')}`, text);
  return statuses;
}

/** A place in a list as the key that paging.ts writes; in the order of ids it is the id alone. */
export function writePlace({ values, id }: CoverPlaceInOrder, { sort, direction }: CoverOrder): string[] {
  return sort === 'id' ? [id] : [`${sort} ${direction}`, JSON.stringify(values), id];
}

/** Throws a problem for a place in another order. */
export function readPlace(
  after: string,
  { sort, direction }: CoverOrder,
  path = '/after',
): CoverPlaceInOrder {
  if (sort === 'id') return { values: null, id: decodeKey(after, ['string'], path)[0] };
  const [order, text, id] = decodeKey(after, ['string', 'string', 'string'], path);
  const values = order === `${sort} ${direction}` ? readValues(text, sort) : undefined;
  if (values === undefined) throw badField(path, 'is a place in a list of another order', after);
  return { values, id };
}

function readValues(text: string, sort: CoverOrder['sort']): CoverPlaceInOrder['values'] | undefined {
  let values: unknown;
  try {
    values = JSON.parse(text);
  } catch {
    return undefined;
  }
  if (values === null) return null;
  const types = sort === 'street' ? ['string', 'number'] : ['number'];
  if (!Array.isArray(values) || values.length !== types.length) return undefined;
  // JSON has no infinity: the last station of a street is written null.
  const read = values.map((value, index) =>
    value === null && index === 1 ? Number.POSITIVE_INFINITY : value,
  );
  return read.every((value, index) => typeof value === types[index]) ? read : undefined;
}
