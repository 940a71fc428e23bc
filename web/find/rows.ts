import { computed, effect, signal } from '@preact/signals';
import type { CoverRow } from '#shared/cover.ts';
import { type AgencyApi, faultOf } from '../api.ts';
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
  /** Address of the page after them; null: these are all. */
  next: string | null;
  isLoading: boolean;
  fault: Fault | null;
}

const noRows: Rows = { items: [], next: null, isLoading: true, fault: null };
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

type Asked = Pick<ViewState, 'filter' | 'search' | 'only' | 'sort'>;

/** What the list of covers is asked for to show a view. */
export function rowsQuery({ filter, search, only, sort }: Asked, limit = pageSize): URLSearchParams {
  const { by, isDown } = readSort(sort);
  const order = { sort: by, direction: isDown ? 'down' : 'up', limit: String(limit) };
  return new URLSearchParams([...Object.entries(order), ...filterQuery({ filter, search, only })]);
}

/** The filter of a view, as the list of covers and the takeoff take it. */
export function filterQuery({ filter, search, only }: Omit<Asked, 'sort'>): URLSearchParams {
  const query = new URLSearchParams();
  if (filter.length > 0) query.set('status', filter.join(','));
  if (search.trim() !== '') query.set('q', search.trim());
  for (const field of onlyFields) {
    const value = only[field];
    if (value !== undefined) query.set(field, value);
  }
  return query;
}

export const isFiltered = computed(
  () => view.value.filter.length > 0 || view.value.search !== '' || Object.keys(view.value.only).length > 0,
);

/** Covers that the filter leaves; null while nobody has counted them: the last page is not here yet. */
export const matching = computed<number | null>(() => {
  const { items, next, isLoading } = rows.value;
  const now = project.value;
  if (now && view.value.search === '' && Object.keys(view.value.only).length === 0) {
    const { filter } = view.value;
    if (filter.length === 0) return now.coverCount;
    return filter.reduce((sum, status) => sum + (now.statusCounts[status] ?? 0), 0);
  }
  return next === null && !isLoading ? items.length : null;
});

let api: (() => AgencyApi) | null = null;
let stop = () => {};

async function read(
  get: (signal: AbortSignal) => Promise<{ items: CoverRow[]; next: string | null }>,
  before: CoverRow[],
) {
  stop();
  const controller = new AbortController();
  stop = () => controller.abort();
  rows.value = { ...rows.peek(), isLoading: true };
  try {
    const { items, next } = await get(controller.signal);
    rows.value = { items: [...before, ...items], next, isLoading: false, fault: null };
  } catch (error) {
    if (controller.signal.aborted) return;
    rows.value = { ...rows.peek(), isLoading: false, fault: faultOf(error) };
  }
}

/** The page after the last row that is here. */
export function loadMore(): void {
  const { items, next, isLoading } = rows.peek();
  if (next === null || isLoading || !api) return;
  const { nextCovers } = api();
  void read((signal) => nextCovers(next, signal), items);
}

/** Keeps the rows those of the project and its filter; returns what ends it. */
export function followRows(server: () => AgencyApi): () => void {
  api = server;
  let seen = { project: '', query: '', again: 0, search: '' };
  let timer: ReturnType<typeof setTimeout> | undefined;
  return effect(() => {
    const id = project.value?.id;
    const query = rowsQuery(view.value);
    const now = { project: id ?? '', query: `${query}`, again: again.value, search: view.value.search };
    if (id === undefined || JSON.stringify(now) === JSON.stringify(seen)) return;
    clearTimeout(timer);
    if (now.project !== seen.project) rows.value = noRows;
    else if (now.query === seen.query) {
      query.set('limit', String(Math.min(2000, Math.max(pageSize, rows.peek().items.length))));
    }
    const isTyped = now.search !== seen.search && now.project === seen.project;
    seen = now;
    const start = () => void read((signal) => server().coverPage(id, query, signal), []);
    if (isTyped) timer = setTimeout(start, restMs);
    else start();
  });
}
