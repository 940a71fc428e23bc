import { computed, signal } from '@preact/signals';
import type { StyleSpecification } from 'maplibre-gl';
import type { CoverCard, CoverRow } from '#shared/cover.ts';
import type { Job } from '#shared/job.ts';
import type { Project } from '#shared/project.ts';
import type { RingCatalogue } from '#shared/ring-catalogue.ts';
import type { StreetCollection } from '#shared/street.ts';
import type { Structure } from '#shared/structure.ts';
import { emptyView, readView, type ViewState, writeView } from './url.ts';

/** What is wrong, where, and what to do; the input stays. */
export interface Fault {
  message: string;
  fields: string[];
}

/** Something that comes from the server: the old value stays while a new one is under way. */
export interface Loaded<Value> {
  value: Value | null;
  loading: boolean;
  fault: Fault | null;
}

export type Casting = Pick<Structure, 'id' | 'lon' | 'lat' | 'rimElevationM'>;

export const nothingLoaded = { value: null, loading: false, fault: null };

export const view = signal<ViewState>(
  typeof location === 'undefined' ? emptyView : readView(location.search),
);

export const projects = signal<Loaded<Project[]>>({ ...nothingLoaded, loading: true });
export const covers = signal<Loaded<CoverRow[]>>(nothingLoaded);
export const streets = signal<Loaded<StreetCollection>>(nothingLoaded);
/** Rings that the project's stacks are made of. */
export const catalogue = signal<RingCatalogue | null>(null);
/** The agency's whole register, for what a file is compared with; loaded when files are looked at. */
export const register = signal<Loaded<Casting[]>>(nothingLoaded);
export const card = signal<Loaded<CoverCard>>(nothingLoaded);
/** Style document drawn under the project's own picture; null = none is set, or it could not be had. */
export const basemap = signal<Loaded<StyleSpecification>>({ ...nothingLoaded, loading: true });
/** Goes up whenever something may have changed that the map's tiles show. */
export const tilesChanged = signal(0);
/** Why covers on the map are missing; null where none are. */
export const mapFault = signal<Fault | null>(null);
export const job = signal<Job | null>(null);
/** Seconds that the running plan still takes, at its pace so far; null where that is not known. */
export const secondsLeft = signal<number | null>(null);
export const jobFault = signal<Fault | null>(null);
export const keysShown = signal(false);
/** Words for the polite live region. */
export const announcement = signal('');

export const project = computed<Project | null>(() => {
  const list = projects.value.value ?? [];
  return list.find(({ id }) => id === view.value.project) ?? (view.value.project ? null : (list[0] ?? null));
});

/** There are covers, and no plan or one that its inputs have left behind. */
export const isPlanWanted = computed(() => {
  const now = project.value;
  return now !== null && now.coverCount > 0 && (now.planStale || now.planRevision === 0);
});

/** Nothing is held to anything. */
export const noFilter = { filter: [], search: '', only: {}, ranges: {} } satisfies Partial<ViewState>;

/** What makes the list another one, which nobody has gone to a place of. */
const listFields = ['project', 'filter', 'search', 'only', 'ranges', 'sort'] as const;

type Remember = 'push' | 'replace';

/** Changes the view and the address with it. `replace` keeps the back button for real steps. */
export function show(change: Partial<ViewState>, remember: Remember = 'push'): void {
  const isOtherList = listFields.some((field) => field in change);
  const next = { ...view.peek(), ...(isOtherList ? { from: null } : {}), ...change };
  const address = location.pathname + writeView(next);
  view.value = next;
  if (address === location.pathname + location.search) return;
  if (remember === 'push') history.pushState(null, '', address);
  else history.replaceState(null, '', address);
}

/** `MH-436, Alder Street overlay - Rimplane`: the tab and the history say what they show. */
export const title = computed(() =>
  [[view.value.cover, project.value?.name].filter(Boolean).join(', '), 'Rimplane']
    .filter(Boolean)
    .join(' - '),
);

/** The back and forward buttons. */
export function followAddress(): () => void {
  const read = () => {
    view.value = readView(location.search);
  };
  addEventListener('popstate', read);
  return () => removeEventListener('popstate', read);
}
