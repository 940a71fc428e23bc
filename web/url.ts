import { type Ranges, rangeFields, readRange, writeRange } from './ranges.ts';

/** Everything a person sees is named in the address, so that a link shows the same picture to another. */
const pages = ['map', 'surveys', 'grade', 'rings', 'overlay', 'plots', 'takeoff', 'new'] as const;
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

/** The overlay that is asked about on its page, and of which covers. */
export interface OverlayView {
  /** Thickness and mill depth as they were typed, each with its unit; null = the project's own. */
  lay: string | null;
  mill: string | null;
  /** Streets asked about; none = all. */
  streets: string[];
  /** Corners of a drawn area, the first not repeated; none = no area. */
  area: [lon: number, lat: number][];
  /** Covers of the whole register, not only of the project. */
  isRegister: boolean;
  /** Only covers with this answer are shown. */
  answer: string | null;
  /** Column that the rows are sorted by, `-` before it for downward; null = as they come. */
  order: string | null;
}

export const emptyOverlay: OverlayView = {
  lay: null,
  mill: null,
  streets: [],
  area: [],
  isRegister: false,
  answer: null,
  order: null,
};

/** What the takeoff is divided by; the first where nothing is said. */
export const divisions = ['street', 'night', 'crew'] as const;
export type Division = (typeof divisions)[number];

export interface TakeoffView {
  by: Division;
  /** Only rings of which too few are on hand. */
  isShort: boolean;
  /** Corners of a drawn area, the first not repeated; none = no area. */
  area: [lon: number, lat: number][];
}

export const emptyTakeoff: TakeoffView = { by: 'street', isShort: false, area: [] };

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
  /** Planned lengths that every cover shown lies in. */
  ranges: Ranges;
  /** Beginning of a street or an id, by the order, that the list is read from; null = its beginning. */
  from: string | null;
  /** Street that is unrolled when no cover is open; null = the one with most covers. */
  street: string | null;
  sort: string | null;
  /** null = the whole project. */
  at: MapView | null;
  /** Identity of the import that is open on the surveys page. */
  import: string | null;
  overlay: OverlayView;
  takeoff: TakeoffView;
}

export const emptyView: ViewState = {
  page: 'map',
  project: null,
  cover: null,
  filter: [],
  search: '',
  only: {},
  ranges: {},
  from: null,
  street: null,
  sort: null,
  at: null,
  import: null,
  overlay: emptyOverlay,
  takeoff: emptyTakeoff,
};

/** Reads the query part of an address; what cannot be read falls back to its empty value. */
export function readView(query: string): ViewState {
  const params = new URLSearchParams(query);
  const page = pages.find((one) => one === params.get('page')) ?? 'map';
  return {
    page,
    project: params.get('project') || null,
    cover: params.get('cover') || null,
    filter: (params.get('status') ?? '').split(',').filter(Boolean),
    search: params.get('search') ?? '',
    only: readOnly(params),
    ranges: readRanges(params),
    from: params.get('from') || null,
    street: params.get('street') || null,
    sort: params.get('sort') || null,
    at: readAt(params.get('at')),
    import: params.get('import') || null,
    overlay: { ...readOverlay(params), area: areaOf(page, 'overlay', params) },
    takeoff: {
      by: divisions.find((one) => one === params.get('by')) ?? emptyTakeoff.by,
      isShort: params.get('only') === 'short',
      area: areaOf(page, 'takeoff', params),
    },
  };
}

function readOverlay(params: URLSearchParams): Omit<OverlayView, 'area'> {
  return {
    lay: params.get('lay') || null,
    mill: params.get('mill') || null,
    streets: params.getAll('along').filter(Boolean),
    isRegister: params.get('among') === 'register',
    answer: params.get('answer') || null,
    order: params.get('order') || null,
  };
}

/** An area is of the page that it was drawn on. */
const areaOf = (page: Page, its: Page, params: URLSearchParams) =>
  page === its ? readCorners(params.get('area')) : [];

/** Corners "lon,lat lon,lat ..."; fewer than three bound no area. */
function readCorners(text: string | null): [number, number][] {
  const corners = (text ?? '')
    .split(' ')
    .filter(Boolean)
    .map((corner): [number, number] => {
      const [lon, lat] = corner.split(',').map((part) => (part === '' ? NaN : Number(part)));
      return [lon, lat];
    });
  const isUsable = corners.every(([lon, lat]) => Math.abs(lon) <= 180 && Math.abs(lat) <= 90);
  return isUsable && corners.length >= 3 ? corners : [];
}

/** Corners as the address and the server write them: 7 digits of a degree are a centimetre. */
export const cornersText = (corners: readonly (readonly [number, number])[]): string =>
  corners.map(([lon, lat]) => `${lon.toFixed(7)},${lat.toFixed(7)}`).join(' ');

function readOnly(params: URLSearchParams): Only {
  const only: Only = {};
  for (const field of onlyFields) {
    const value = params.get(onlyName(field));
    const isBlankAllowed = field === 'crew' || field === 'night';
    if (value || (value === '' && isBlankAllowed)) only[field] = value;
  }
  return only;
}

function readRanges(params: URLSearchParams): Ranges {
  const ranges: Ranges = {};
  for (const field of rangeFields) {
    const range = readRange(params.get(field));
    if (range) ranges[field] = range;
  }
  return ranges;
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
  for (const field of rangeFields) {
    const range = view.ranges[field];
    if (range) add(field, writeRange(range));
  }
  add('from', view.from ?? '');
  add('street', view.street ?? '');
  add('sort', view.sort ?? '');
  if (view.page === 'overlay') writeOverlay(view.overlay, add);
  if (view.page === 'takeoff') {
    add('by', view.takeoff.by === emptyTakeoff.by ? '' : view.takeoff.by);
    add('only', view.takeoff.isShort ? 'short' : '');
    writeArea(view.takeoff.area, add);
  }
  if (view.at) {
    const { latitude, longitude, zoom } = view.at;
    add('at', `${latitude.toFixed(6)},${longitude.toFixed(6)},${zoom.toFixed(2)}`);
  }
  return parts.length === 0 ? '' : `?${parts.join('&')}`;
}

type Add = (name: string, value: string) => void;

function writeArea(area: OverlayView['area'], add: Add): void {
  if (area.length >= 3) add('area', cornersText(area));
}

function writeOverlay(overlay: OverlayView, add: Add): void {
  add('lay', overlay.lay ?? '');
  add('mill', overlay.mill ?? '');
  for (const street of overlay.streets) add('along', street);
  writeArea(overlay.area, add);
  add('among', overlay.isRegister ? 'register' : '');
  add('answer', overlay.answer ?? '');
  add('order', overlay.order ?? '');
}
