/** Everything a person sees is named in the address, so that a link shows the same picture to another. */
const pages = ['map', 'surveys', 'grade', 'rings', 'new'] as const;
export type Page = (typeof pages)[number];

export interface MapView {
  longitude: number;
  latitude: number;
  zoom: number;
}

/** Fields that a list of covers can be held to; a blank crew or night asks for covers of none. */
export const onlyFields = ['kind', 'owner', 'street', 'crew', 'night'] as const;
export type OnlyField = (typeof onlyFields)[number];
export type Only = Partial<Record<OnlyField, string>>;

/** `street` stands in the address for the one that is unrolled. */
const onlyName = (field: OnlyField) => (field === 'street' ? 'on' : field);

export interface ViewState {
  page: Page;
  /** Id of the project; null = the first one. */
  project: string | null;
  /** Tag of the cover whose card is open. */
  cover: string | null;
  /** Statuses shown; empty = all. */
  filter: string[];
  search: string;
  /** What else every cover shown has. */
  only: Only;
  /** Street that is unrolled when no cover is open; null = the one with most covers. */
  street: string | null;
  sort: string | null;
  /** null = the whole project. */
  at: MapView | null;
  /** Identity of the import that is open on the surveys page. */
  import: string | null;
}

export const emptyView: ViewState = {
  page: 'map',
  project: null,
  cover: null,
  filter: [],
  search: '',
  only: {},
  street: null,
  sort: null,
  at: null,
  import: null,
};

/** Reads the query part of an address; what cannot be read falls back to its empty value. */
export function readView(query: string): ViewState {
  const params = new URLSearchParams(query);
  return {
    page: pages.find((page) => page === params.get('page')) ?? 'map',
    project: params.get('project') || null,
    cover: params.get('cover') || null,
    filter: (params.get('status') ?? '').split(',').filter(Boolean),
    search: params.get('search') ?? '',
    only: readOnly(params),
    street: params.get('street') || null,
    sort: params.get('sort') || null,
    at: readAt(params.get('at')),
    import: params.get('import') || null,
  };
}

function readOnly(params: URLSearchParams): Only {
  const only: Only = {};
  for (const field of onlyFields) {
    const value = params.get(onlyName(field));
    const isBlankAllowed = field === 'crew' || field === 'night';
    if (value || (value === '' && isBlankAllowed)) only[field] = value;
  }
  return only;
}

function readAt(text: string | null): MapView | null {
  const [latitude, longitude, zoom] = (text ?? '')
    .split(',')
    .map((part) => (part === '' ? NaN : Number(part)));
  const isUsable =
    Math.abs(latitude) <= 85 &&
    Math.abs(longitude) <= 180 &&
    Number.isFinite(zoom) &&
    zoom >= 0 &&
    zoom <= 24;
  return isUsable ? { latitude, longitude, zoom } : null;
}

/** Query for a view, `''` when all is at its default. `at` is latitude, longitude, zoom. */
export function writeView(view: ViewState): string {
  const parts: string[] = [];
  const add = (name: string, value: string) =>
    value && parts.push(`${name}=${encodeURIComponent(value).replaceAll('%2C', ',')}`);
  add('page', view.page === 'map' ? '' : view.page);
  add('project', view.project ?? '');
  add('import', view.import ?? '');
  add('cover', view.cover ?? '');
  add('status', view.filter.join(','));
  add('search', view.search);
  for (const field of onlyFields) {
    const value = view.only[field];
    if (value === '') parts.push(`${onlyName(field)}=`);
    else add(onlyName(field), value ?? '');
  }
  add('street', view.street ?? '');
  add('sort', view.sort ?? '');
  if (view.at) {
    const { latitude, longitude, zoom } = view.at;
    add('at', `${latitude.toFixed(6)},${longitude.toFixed(6)},${zoom.toFixed(2)}`);
  }
  return parts.length === 0 ? '' : `?${parts.join('&')}`;
}
