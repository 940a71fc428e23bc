import { signal } from '@preact/signals';
import type { Takeoff } from '#shared/takeoff.ts';
import { filterQuery } from '../find/rows.ts';
import { type Loaded, nothingLoaded, show, view } from '../state.ts';
import type { TakeoffView } from '../url.ts';
import { paperAddress } from '../views/paper-links.tsx';

/** The answer on the page, and the project that it is of. */
export const found = signal<Loaded<Takeoff> & { of: string | null }>({ ...nothingLoaded, of: null });

/** Changes what the page shows of it; the address follows. */
export const ask = (change: Partial<TakeoffView>) =>
  show({ takeoff: { ...view.peek().takeoff, ...change } }, 'replace');

/** What the server is asked for to show the view. */
export function takeoffQuery(): URLSearchParams {
  const { takeoff } = view.value;
  const query = filterQuery(view.value);
  query.set('by', takeoff.by);
  return query;
}

/** Address of a file of the covers that are asked about; `by`: what a row of it is. */
export function fileAddress(
  project: { agencyId: string; id: string },
  file: 'takeoff.csv' | 'takeoff.pdf',
  by?: string,
): string {
  const query = filterQuery(view.value);
  if (by !== undefined) query.set('by', by);
  const text = query.toString();
  return `${paperAddress(project, file)}${text === '' ? '' : `?${text}`}`;
}
