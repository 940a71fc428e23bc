import { computed } from '@preact/signals';
import type { CoverRow } from '#shared/cover.ts';
import { type Status, statuses } from '#shared/status.ts';
import { streetsOf } from './drawings/unrolled-scale.ts';
import { loadMore, rows } from './find/rows.ts';
import { isInRanges } from './ranges.ts';
import { card, covers, project, show, view } from './state.ts';
import { type Only, onlyFields } from './url.ts';

/**
 * Covers in the order in which one walks the streets: the chosen street first, then those with most covers;
 * along each by station.
 */
export function inStationOrder(rows: readonly CoverRow[], first: string | null): CoverRow[] {
  const place = new Map(streetsOf(rows).map(({ street }, index) => [street, street === first ? -1 : index]));
  const placeOf = ({ street }: CoverRow) => place.get(street ?? '') ?? place.size;
  return [...rows].sort(
    (a, b) =>
      placeOf(a) - placeOf(b) ||
      (a.stationM ?? Infinity) - (b.stationM ?? Infinity) ||
      a.id.localeCompare(b.id, 'en', { numeric: true }),
  );
}

/** As the server says it of a cover. */
export function matches(row: CoverRow, filter: readonly string[], search: string, only: Only = {}): boolean {
  if (filter.length > 0 && !filter.includes(row.status ?? 'unplanned')) return false;
  if (onlyFields.some((field) => only[field] !== undefined && only[field] !== (row[field] ?? '')))
    return false;
  const wanted = search.trim().toLowerCase();
  return (
    wanted === '' ||
    [row.id, row.street, row.owner, row.kind].some((text) => text?.toLowerCase().includes(wanted))
  );
}

const chosenStreet = computed(() => view.value.street);
export const ordered = computed(() => inStationOrder(covers.value.value ?? [], chosenStreet.value));
export const shown = computed(() =>
  ordered.value.filter(
    (row) =>
      matches(row, view.value.filter, view.value.search, view.value.only) &&
      isInRanges(row, view.value.ranges),
  ),
);
export const shownIds = computed(() => new Set(shown.value.map(({ id }) => id)));

/** The open cover, from whatever of it is here first: a list or its card. */
/** The field's status where there is one, as on the map; else the plan's. */
export const statusShown = ({ fieldStatus, status }: Pick<CoverRow, 'fieldStatus' | 'status'>) =>
  fieldStatus ?? status;

type Selected = Pick<CoverRow, 'id' | 'status' | 'fieldStatus' | 'street' | 'lon' | 'lat'>;
export const selected = computed((): Selected | null => {
  const id = view.value.cover;
  if (id === null) return null;
  const row = [...ordered.value, ...rows.value.items].find((one) => one.id === id);
  const held = card.value.value;
  if (row || held?.structure.id !== id) return row ?? null;
  return { ...held.structure, status: held.plan?.status ?? null, fieldStatus: held.fieldStatus };
});

/** Street that is unrolled: the open cover's, else the chosen one, else the first of the table. */
export const unrolledStreet = computed(
  () =>
    selected.value?.street ??
    view.value.street ??
    view.value.only.street ??
    rows.value.items.slice(rows.value.laidBefore).find(({ street }) => street !== null)?.street ??
    null,
);

export interface StatusCount {
  status: Status;
  count: number;
}

/** By the project's own counts: a city's covers are never all here. */
export const counts = computed<StatusCount[]>(() => {
  const count = project.value?.statusCounts ?? {};
  return statuses.map((status) => ({ status, count: count[status.code] ?? 0 }));
});
export const unplanned = computed(() => project.value?.statusCounts.unplanned ?? 0);

/** A plain click shows one status or, again, all; with shift it adds or takes away. */
export function toggleFilter(filter: readonly string[], code: string, isAdding: boolean): string[] {
  if (isAdding) return filter.includes(code) ? filter.filter((other) => other !== code) : [...filter, code];
  return filter.length === 1 && filter[0] === code ? [] : [code];
}

export function openCover(id: string | null): void {
  show({ cover: id });
}

/** Opens the next cover along the street among those shown; `step` is +1 or -1. */
export function stepCover(step: 1 | -1): void {
  const { items } = rows.peek();
  if (items.length === 0) return;
  const now = items.findIndex(({ id }) => id === view.peek().cover);
  const next =
    now < 0 ? (step > 0 ? 0 : items.length - 1) : Math.min(items.length - 1, Math.max(0, now + step));
  if (next >= items.length - 2) loadMore();
  show({ cover: items[next].id }, 'replace');
}
