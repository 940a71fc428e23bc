import { computed } from '@preact/signals';
import type { CoverRow } from '#shared/cover.ts';
import { type Status, statuses } from '#shared/status.ts';
import { streetsOf } from './drawings/unrolled-scale.ts';
import { covers, show, view } from './state.ts';

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

export type SortKey = 'station' | 'cover' | 'status' | 'action' | 'worst' | 'owner';

const rank = new Map<string, number>(statuses.map(({ code }, index) => [code, index]));

const keyOf: Record<SortKey, (row: CoverRow) => string | number> = {
  station: () => 0,
  cover: (row) => row.id,
  status: (row) => rank.get(row.status ?? '') ?? 99,
  action: (row) => row.rimErrorM ?? Infinity,
  worst: (row) => -(row.worstM === null ? -1 : row.worstM + 2 * (row.sigmaRimM ?? 0)),
  owner: (row) => row.owner ?? '\uffff',
};

/** Sorts rows that are already in station order, which stays the order among equals. */
export function sortRows(rows: CoverRow[], sort: string | null): CoverRow[] {
  const isDown = sort?.startsWith('-') ?? false;
  const key = keyOf[(sort ?? 'station').replace(/^-/, '') as SortKey] ?? keyOf.station;
  const compare = (a: CoverRow, b: CoverRow) => {
    const [x, y] = [key(a), key(b)];
    if (typeof x === 'number' && typeof y === 'number') return x === y ? 0 : x - y;
    return String(x).localeCompare(String(y), 'en', { numeric: true });
  };
  const sorted = [...rows].sort(compare);
  return isDown ? sorted.reverse() : sorted;
}

export function matches(row: CoverRow, filter: readonly string[], search: string): boolean {
  if (filter.length > 0 && !filter.includes(row.status ?? '')) return false;
  const wanted = search.trim().toLowerCase();
  return (
    wanted === '' ||
    [row.id, row.street, row.owner, row.kind].some((text) => text?.toLowerCase().includes(wanted))
  );
}

const chosenStreet = computed(() => view.value.street);
export const ordered = computed(() => inStationOrder(covers.value.value ?? [], chosenStreet.value));
export const shown = computed(() =>
  ordered.value.filter((row) => matches(row, view.value.filter, view.value.search)),
);
export const shownIds = computed(() => new Set(shown.value.map(({ id }) => id)));
export const tableRows = computed(() => sortRows(shown.value, view.value.sort));
export const selected = computed(() => ordered.value.find(({ id }) => id === view.value.cover) ?? null);

export interface StatusCount {
  status: Status;
  count: number;
}

export const counts = computed<StatusCount[]>(() => {
  const count = new Map<string, number>();
  for (const { status } of ordered.value) count.set(status ?? '', (count.get(status ?? '') ?? 0) + 1);
  return statuses.map((status) => ({ status, count: count.get(status.code) ?? 0 }));
});
export const unplanned = computed(() => ordered.value.filter(({ status }) => status === null).length);

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
  const rows = tableRows.peek();
  if (rows.length === 0) return;
  const now = rows.findIndex(({ id }) => id === view.peek().cover);
  const next =
    now < 0 ? (step > 0 ? 0 : rows.length - 1) : Math.min(rows.length - 1, Math.max(0, now + step));
  show({ cover: rows[next].id }, 'replace');
}
