import { computed, effect, signal } from '@preact/signals';
import type { CoverPage, CoverRow } from '#shared/cover.ts';
import { type AgencyApi, faultOf } from '../api.ts';
import { rangeEnds } from '../ranges.ts';
import { type Fault, project, view } from '../state.ts';
import { onlyFields, type ViewState } from '../url.ts';

/** Up to here a project's covers are all held at once; of a larger one only pages. */
export const fewCovers = 2000;

const pageSize = 500;
/** Typing has to rest for so long before the server is asked. */
const restMs = 180;

/** The table's rows as far as they have been read, in the server's order. */
export interface Rows {
  items: CoverRow[];
  /** Address of the page after them; null: none follow. */
  next: string | null;
  /** Address of the page before them; null: they begin the list. */
  previous: string | null;
  /** Rows that were put before those that were here first: what is in sight moves down by them. */
  laidBefore: number;
  isLoading: boolean;
  fault: Fault | null;
}

const noRows: Rows = {
  items: [],
  next: null,
  previous: null,
  laidBefore: 0,
  isLoading: true,
  fault: null,
};
export const rows = signal<Rows>(noRows);
const again = signal(0);

/** Reads the rows again, as many as there were; the old ones stay until then. */
export const reloadRows = () => {
  again.value += 1;
};

export const tableSorts = ['street', 'id', 'status', 'netBuildup', 'worst', 'remaining'] as const;
export type TableSort = (typeof tableSorts)[number];

/** The order that an address asks for: a name, `-` before it for downward. */
export function readSort(sort: string | null): { by: TableSort; isDown: boolean } {
  const name = (sort ?? '').replace(/^-/, '');
  return {
    by: tableSorts.find((one) => one === name) ?? 'street',
    isDown: sort?.startsWith('-') ?? false,
  };
}

type Asked = Pick<ViewState, 'filter' | 'search' | 'only' | 'ranges' | 'sort'>;

/** What the list of covers is asked for to show a view. */
export function rowsQuery({ filter, search, only, ranges, sort }: Asked, limit = pageSize): URLSearchParams {
  const { by, isDown } = readSort(sort);
  const order = { sort: by, direction: isDown ? 'down' : 'up', limit: String(limit) };
  return new URLSearchParams([...Object.entries(order), ...filterQuery({ filter, search, only, ranges })]);
}

/** The filter of a view, as the list of covers and the takeoff take it. */
export function filterQuery({ filter, search, only, ranges }: Omit<Asked, 'sort'>): URLSearchParams {
  const query = new URLSearchParams();
  if (filter.length > 0) query.set('status', filter.join(','));
  if (search.trim() !== '') query.set('q', search.trim());
  for (const field of onlyFields) {
    const value = only[field];
    if (value !== undefined) query.set(field, value);
  }
  for (const [name, end] of Object.entries(rangeEnds(ranges))) query.set(name, String(end));
  return query;
}

/** Beyond statuses, which the project counts, and a search. */
const isHeld = ({ only, ranges }: Pick<ViewState, 'only' | 'ranges'>) =>
  Object.keys(only).length > 0 || Object.keys(ranges).length > 0;

export const isFiltered = computed(
  () => view.value.filter.length > 0 || view.value.search !== '' || isHeld(view.value),
);

/** Covers that the filter leaves; null while nobody has counted them: the last page is not here yet. */
export const matching = computed<number | null>(() => {
  const { items, next, previous, isLoading } = rows.value;
  const now = project.value;
  if (now && view.value.search === '' && !isHeld(view.value)) {
    const { filter } = view.value;
    if (filter.length === 0) return now.coverCount;
    return filter.reduce((sum, status) => sum + (now.statusCounts[status] ?? 0), 0);
  }
  return next === null && previous === null && !isLoading ? items.length : null;
});

let api: (() => AgencyApi) | null = null;
let stop = () => {};

async function read(
  get: (signal: AbortSignal) => Promise<CoverPage>,
  join: (page: CoverPage, now: Rows) => Pick<Rows, 'items' | 'next' | 'previous' | 'laidBefore'>,
) {
  stop();
  const controller = new AbortController();
  stop = () => controller.abort();
  rows.value = { ...rows.peek(), isLoading: true };
  try {
    const page = await get(controller.signal);
    rows.value = { ...join(page, rows.peek()), isLoading: false, fault: null };
  } catch (error) {
    if (controller.signal.aborted) return;
    rows.value = { ...rows.peek(), isLoading: false, fault: faultOf(error) };
  }
}

/** The page after the last row that is here. */
export function loadMore(): void {
  const { next, isLoading } = rows.peek();
  if (next === null || isLoading || !api) return;
  const { nextCovers } = api();
  void read(
    (signal) => nextCovers(next, signal),
    (page, now) => ({ ...now, items: [...now.items, ...page.items], next: page.next }),
  );
}

/** The page before the first row that is here. */
export function loadBefore(): void {
  const { previous, isLoading } = rows.peek();
  if (previous === null || isLoading || !api) return;
  const { nextCovers } = api();
  void read(
    (signal) => nextCovers(previous, signal),
    (page, now) => ({
      ...now,
      items: [...page.items, ...now.items],
      previous: page.previous,
      laidBefore: now.laidBefore + page.items.length,
    }),
  );
}

/** As many rows as there are from the place on that the list was gone to. */
function keepLength(query: URLSearchParams): void {
  const { items, laidBefore } = rows.peek();
  query.set('limit', String(Math.min(2000, Math.max(pageSize, items.length - laidBefore))));
}

/** Where a filter left nothing of the place that the address names the list begins where it begins. */
async function firstPage(
  { coverPage }: AgencyApi,
  id: string,
  query: URLSearchParams,
  abort: AbortSignal,
): Promise<CoverPage> {
  const page = await coverPage(id, query, abort);
  if (page.items.length > 0 || !query.has('at')) return page;
  query.delete('at');
  return coverPage(id, query, abort);
}

/** Keeps the rows those of the project and its filter; returns what ends it. */
export function followRows(server: () => AgencyApi): () => void {
  api = server;
  let seen = { project: '', query: '', from: '', again: 0, search: '' };
  let timer: ReturnType<typeof setTimeout> | undefined;
  return effect(() => {
    const id = project.value?.id;
    const query = rowsQuery(view.value);
    const { search, from } = view.value;
    const now = { project: id ?? '', query: `${query}`, from: from ?? '', again: again.value, search };
    if (id === undefined || JSON.stringify(now) === JSON.stringify(seen)) return;
    clearTimeout(timer);
    if (now.project !== seen.project) rows.value = noRows;
    else if (now.query === seen.query && now.from === seen.from) keepLength(query);
    if (from !== null) query.set('at', from);
    const isTyped = now.search !== seen.search && now.project === seen.project;
    seen = now;
    const start = () =>
      void read(
        (signal) => firstPage(server(), id, query, signal),
        (page) => ({ ...page, laidBefore: 0 }),
      );
    if (isTyped) timer = setTimeout(start, restMs);
    else start();
  });
}
