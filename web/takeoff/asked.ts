import { computed, signal } from '@preact/signals';
import type { Takeoff } from '#shared/takeoff.ts';
import type { AreaDraft } from '../find/area.ts';
import { filterQuery } from '../find/rows.ts';
import { faultOfOutline } from '../grade/outline.ts';
import { type Loaded, nothingLoaded, show, view } from '../state.ts';
import { cornersText, type TakeoffView } from '../url.ts';
import { paperAddress } from '../views/paper-links.tsx';

/** The answer on the page, and the project that it is of. */
export const found = signal<Loaded<Takeoff> & { of: string | null }>({ ...nothingLoaded, of: null });

/** Changes what the page shows of it; the address follows. */
export const ask = (change: Partial<TakeoffView>, remember: 'push' | 'replace' = 'replace') =>
  show({ takeoff: { ...view.peek().takeoff, ...change } }, remember);

/** The area is being drawn: clicks on the map set its corners. */
export const isDrawing = signal(false);

/** The covers inside are asked about from the third corner on, also while it is drawn. */
export const areaDraft: AreaDraft = {
  corners: computed(() => view.value.takeoff.area),
  set: (area) => ask({ area }),
  clear: () => ask({ area: [] }, 'push'),
  isDrawing: () => isDrawing.value,
};

/** Letters of the contract: some three hundred corners. */
const mostLetters = 8000;

/** Why nobody can be asked about the area; null where somebody can, or where it has not three corners yet. */
export const areaFault = computed<string | null>(() => {
  const { area } = view.value.takeoff;
  if (area.length < 3) return null;
  if (cornersText(area).length > mostLetters)
    return `An area of ${area.length} corners is too long to be asked about: draw it with fewer.`;
  return faultOfOutline(area)?.replace('The outline', 'The area') ?? null;
});

/** Corners of the area as an address has them; null where none is asked about. */
export const polygon = computed<string | null>(() => {
  const { area } = view.value.takeoff;
  return area.length < 3 || areaFault.value !== null ? null : cornersText(area);
});

function coversQuery(): URLSearchParams {
  const query = filterQuery(view.value);
  if (polygon.value !== null) query.set('polygon', polygon.value);
  return query;
}

/** What the server is asked for to show the view. */
export function takeoffQuery(): URLSearchParams {
  const query = coversQuery();
  query.set('by', view.value.takeoff.by);
  return query;
}

/** Address of a file of the covers that are asked about; `by`: what a row of it is. */
export function fileAddress(
  project: { agencyId: string; id: string },
  file: 'takeoff.csv' | 'takeoff.pdf',
  by?: string,
): string {
  const query = coversQuery();
  if (by !== undefined) query.set('by', by);
  const text = query.toString();
  return `${paperAddress(project, file)}${text === '' ? '' : `?${text}`}`;
}
