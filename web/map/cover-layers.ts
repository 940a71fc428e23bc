import type {
  ExpressionSpecification,
  FilterSpecification,
  LayerSpecification,
  Map as StreetMap,
  SymbolLayerSpecification,
} from 'maplibre-gl';
import { statusCodes } from '#shared/status.ts';
import { plateName, shareParts } from '../symbols/count-plates.ts';

export const font = ['Overpass'];

/** From here on the map shows covers one by one, before it their numbers. */
export const firstCoverZoom = 13;

/** Covers that the filter leaves and those that it fades: one shows where the other does not. */
export const coverLayerNames = ['covers', 'faded-covers'] as const;

const allStatuses = [...statusCodes, 'unplanned'];
const nothing: ExpressionSpecification = ['!', ['literal', true]] as never;

export function coverLayers(): SymbolLayerSpecification[] {
  const layer = {
    type: 'symbol',
    source: 'covers',
    'source-layer': 'covers',
    minzoom: firstCoverZoom,
    layout: {
      'icon-image': ['concat', 'status-', ['get', 'status']],
      'icon-allow-overlap': true,
      'icon-ignore-placement': true,
      'icon-size': [
        'interpolate',
        ['linear'],
        ['zoom'],
        12,
        ['case', ['==', ['get', 'status'], 'plated'], 0.62, 0.45],
        16,
        ['case', ['==', ['get', 'status'], 'plated'], 1.15, 0.85],
        19,
        ['case', ['==', ['get', 'status'], 'plated'], 1.4, 1.15],
      ],
      'symbol-sort-key': ['match', ['get', 'status'], 'plated', 2, 'unsurveyed', 0, 1],
      'symbol-z-order': 'auto',
    },
  } satisfies Omit<SymbolLayerSpecification, 'id'>;
  return [
    { ...layer, id: 'faded-covers', filter: nothing, paint: { 'icon-opacity': 0.17 } },
    { ...layer, id: 'covers' },
  ];
}

/** How many covers a cell has, on a plate with a strip of their statuses, widths true to counts. */
export function countLayer(): LayerSpecification {
  return {
    id: 'counts',
    type: 'symbol',
    source: 'covers',
    'source-layer': 'counts',
    maxzoom: firstCoverZoom,
    layout: {
      'icon-image': plateOf([]),
      'icon-allow-overlap': true,
      'icon-ignore-placement': true,
      'text-field': numberOf([]),
      'text-font': font,
      'text-size': 12.5,
      'text-offset': [0, -0.3],
      'text-allow-overlap': true,
      'text-ignore-placement': true,
      'symbol-sort-key': ['get', 'covers'],
    },
    paint: { 'text-color': '#16201f' },
  };
}

export interface CoverFilter {
  statuses: readonly string[];
  search: string;
  /** Tiles hold the covers alone that the rest of the filter leaves: all the others lie faded under them. */
  isChosen: boolean;
}

/** Shows what the filter leaves; the search is in the covers' texts, so counts know nothing of it. */
export function filterCovers(map: StreetMap, { statuses, search, isChosen }: CoverFilter): void {
  const kept = keptBy(statuses, search);
  map.setFilter('covers', kept);
  const faded = kept === null ? (nothing as FilterSpecification) : (['!', kept] as FilterSpecification);
  map.setFilter('faded-covers', isChosen ? null : faded);
  map.setFilter('counts', ['>', sumOf(statuses), 0]);
  map.setLayoutProperty('counts', 'icon-image', plateOf(statuses));
  map.setLayoutProperty('counts', 'text-field', numberOf(statuses));
}

/** Whether a cover is shown, as web/selection.ts says it of a row; null: all are. */
export function keptBy(statuses: readonly string[], search: string): ExpressionSpecification | null {
  const parts: ExpressionSpecification[] = [];
  if (statuses.length > 0) parts.push(['in', ['get', 'status'], ['literal', [...statuses]]]);
  const wanted = search.trim().toLowerCase();
  if (wanted !== '') {
    const texts = ['id', 'street', 'owner', 'kind'].map(
      (key): ExpressionSpecification => ['in', wanted, ['downcase', ['coalesce', ['get', key], '']]],
    );
    parts.push(['any', ...texts]);
  }
  return parts.length === 0 ? null : ['all', ...parts];
}

/** Covers of a cell that have one of these statuses; of none: all. */
function sumOf(statuses: readonly string[]): ExpressionSpecification {
  if (statuses.length === 0) return ['get', 'covers'];
  return ['+', ...statuses.map((code): ExpressionSpecification => ['coalesce', ['get', code], 0])];
}

/** 1 to 999 as they are, then thousands: three or four signs. */
export function numberOf(statuses: readonly string[]): ExpressionSpecification {
  const number = sumOf(statuses);
  const thousands: ExpressionSpecification = ['/', number, 1000];
  return [
    'case',
    ['<', number, 1000],
    ['to-string', number],
    ['<', number, 99_950],
    ['concat', ['number-format', thousands, { 'max-fraction-digits': 1 }], 'k'],
    ['concat', ['round', thousands], 'k'],
  ];
}

/** Name of the plate's picture: it says what the strip is made of. */
export function plateOf(statuses: readonly string[]): ExpressionSpecification {
  return plateFor(
    statuses.length === 0 ? allStatuses : allStatuses.filter((code) => statuses.includes(code)),
  );
}

/** The same of counts of whatever kinds, in their order. */
export function plateFor(kinds: readonly string[]): ExpressionSpecification {
  const part = (code: string): ExpressionSpecification => [
    'case',
    ['has', code],
    [
      'concat',
      ` ${code}:`,
      ['max', 1, ['round', ['*', shareParts, ['/', ['get', code], ['get', 'covers']]]]],
    ],
    '',
  ];
  return ['concat', plateName, ...kinds.map(part)];
}
