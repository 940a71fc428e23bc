import { computed, signal } from '@preact/signals';
import type { Selection, SelectionFilter } from '#shared/assignment.ts';
import { type Corner, polygonOf } from '../grade/outline.ts';
import { rangeEnds } from '../ranges.ts';
import { view } from '../state.ts';
import type { AreaDraft } from './area.ts';

/** What several covers are chosen by; null while nobody chooses. */
export type ChoiceWay = 'rows' | 'area' | 'filter';
export const choosingBy = signal<ChoiceWay | null>(null);
export const pickedIds = signal<ReadonlySet<string>>(new Set());
/** Corners of the area that is drawn on the map, in their order. */
export const areaCorners = signal<readonly Corner[]>([]);

/** Largest number of ids that the server takes at once. */
export const mostIds = 5000;

export function choose(way: ChoiceWay | null): void {
  choosingBy.value = way;
  pickedIds.value = new Set();
  areaCorners.value = [];
}

export function pick(ids: readonly string[], isPicked: boolean): void {
  const next = new Set(pickedIds.peek());
  for (const id of ids) {
    if (isPicked && next.size < mostIds) next.add(id);
    else if (!isPicked) next.delete(id);
  }
  pickedIds.value = next;
}

/** The area that covers are chosen by on the desk's map. */
export const areaDraft: AreaDraft = {
  corners: areaCorners,
  set: (corners) => {
    areaCorners.value = corners;
  },
  clear: () => {
    areaCorners.value = [];
  },
  isDrawing: () => choosingBy.value === 'area',
};

/** What the server is told; null while nothing is chosen yet. */
export const selection = computed<Selection | null>(() => {
  const way = choosingBy.value;
  if (way === 'rows') return pickedIds.value.size === 0 ? null : { ids: [...pickedIds.value] };
  if (way === 'area') return areaCorners.value.length < 3 ? null : { polygon: polygonOf(areaCorners.value) };
  return way === 'filter' ? { filter: presentFilter() } : null;
});

/** The filter in force, as bodies write it: null asks for covers of no crew or night. */
function presentFilter(): SelectionFilter {
  const { filter, search, only, ranges } = view.value;
  const { crew, night, ...rest } = only;
  return {
    ...rest,
    ...rangeEnds(ranges),
    ...(filter.length > 0 ? { status: filter.join(',') } : {}),
    ...(search.trim() === '' ? {} : { q: search.trim() }),
    ...(crew === undefined ? {} : { crew: crew || null }),
    ...(night === undefined ? {} : { night: night || null }),
  };
}
