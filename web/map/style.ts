import mapFont from '@fontsource/overpass/files/overpass-latin-600-normal.woff2?url';
import type {
  ExpressionSpecification,
  LayerSpecification,
  SourceSpecification,
  StyleSpecification,
} from 'maplibre-gl';
import { countLayer, coverLayers, firstCoverZoom, font } from './cover-layers.ts';
import { noFeatures } from './geometry.ts';

const colour = {
  ink: '#16201f',
  ink2: '#44514e',
  white: '#ffffff',
  ground: '#edefec',
  street: '#d5dbd7',
  line2: '#9aa6a1',
  grade: '#c51b7d',
  focus: '#0072b2',
};

/**
 * Pixels for a width in metres that stays true to scale on the ground, in 512-pixel tiles of Web Mercator. `extra` pixels
 * are added, few of them where a whole city is in sight: its streets stand some pixels apart and would cover it.
 */
function groundWidth(
  latitude: number,
  times: ExpressionSpecification | number,
  extra = 0,
): ExpressionSpecification {
  const metresPerPixel = (40_075_016.686 / 512) * Math.cos((latitude * Math.PI) / 180);
  const at = (zoom: number, share: number, least: number): ExpressionSpecification => [
    '+',
    share * extra,
    ['max', least, ['/', times, metresPerPixel / 2 ** zoom]],
  ];
  return [
    'interpolate',
    ['exponential', 2],
    ['zoom'],
    11,
    at(11, 0.1, 0.4),
    13,
    at(13, 0.6, 1.2),
    15,
    at(15, 1, 2),
    22,
    at(22, 1, 2),
  ];
}

const drawn = {
  streets: { type: 'geojson', data: noFeatures },
  ends: { type: 'geojson', data: noFeatures },
  shots: { type: 'geojson', data: noFeatures },
} as const satisfies StyleSpecification['sources'];

/** Sources that the page fills itself. */
export type SourceName = keyof typeof drawn;

/** Addresses of tiles, with {z}, {x} and {y}: of the project's covers and of the rest of the register. */
export interface TileAddresses {
  covers: string;
  register: string;
}

/** Zooms of the server's tiles. */
const tileZooms = { first: 0, last: 18 };

function sourcesFrom({ covers, register }: TileAddresses): Record<string, SourceSpecification> {
  const { first: minzoom, last: maxzoom } = tileZooms;
  return {
    ...drawn,
    register: { type: 'vector', tiles: [register], minzoom: firstCoverZoom, maxzoom },
    covers: { type: 'vector', tiles: [covers], minzoom, maxzoom, promoteId: { covers: 'id' } },
  };
}

/** Streets true to scale, of a source `streets` as `markNamed` makes it. */
export function streetLayers(latitude: number): LayerSpecification[] {
  const round = { 'line-cap': 'round', 'line-join': 'round' } as const;
  const width = ['get', 'width'] as ExpressionSpecification;
  return [
    {
      id: 'streets',
      type: 'line',
      source: 'streets',
      layout: round,
      paint: { 'line-color': colour.white, 'line-width': groundWidth(latitude, width, 3) },
    },
    {
      id: 'own-streets',
      type: 'line',
      source: 'streets',
      filter: ['get', 'isOwn'],
      layout: round,
      paint: { 'line-color': colour.street, 'line-width': groundWidth(latitude, width) },
    },
    {
      id: 'centre-lines',
      type: 'line',
      source: 'streets',
      minzoom: 16.5,
      filter: ['get', 'isOwn'],
      paint: { 'line-color': colour.white, 'line-width': 1.5, 'line-dasharray': [6, 5] },
    },
    {
      id: 'up-station',
      type: 'symbol',
      source: 'streets',
      minzoom: 16,
      filter: ['get', 'isOwn'],
      layout: {
        'symbol-placement': 'line',
        'icon-image': 'up-station',
        'symbol-spacing': 70,
        'icon-allow-overlap': true,
        'icon-ignore-placement': true,
        'icon-rotation-alignment': 'map',
      },
    },
  ];
}

const endLayer: LayerSpecification = {
  id: 'ends',
  type: 'line',
  source: 'ends',
  paint: { 'line-color': colour.grade, 'line-width': 2.5 },
};

/** The names of the same streets. */
export function labelLayers(): LayerSpecification[] {
  const halo = { 'text-color': colour.ink2, 'text-halo-color': colour.ground, 'text-halo-width': 1.6 };
  return [
    {
      id: 'street-names',
      type: 'symbol',
      source: 'streets',
      minzoom: 14.4,
      filter: ['!', ['get', 'isOwn']],
      layout: {
        'symbol-placement': 'line',
        'text-field': ['get', 'name'],
        'text-font': font,
        'text-size': 12.5,
        'symbol-spacing': 180,
      },
      paint: { ...halo, 'text-halo-color': colour.white },
    },
    {
      id: 'own-street-names',
      type: 'symbol',
      source: 'streets',
      minzoom: 13,
      filter: ['get', 'isOwn'],
      layout: {
        'symbol-placement': 'line',
        'text-field': ['upcase', ['get', 'name']],
        'text-font': font,
        'text-size': 13,
        'text-letter-spacing': 0.14,
        'text-offset': [0, 1.9],
        'symbol-spacing': 200,
      },
      paint: { ...halo, 'text-color': colour.ink, 'text-halo-width': 2 },
    },
  ];
}

function registerLayers(): LayerSpecification[] {
  const pale: ExpressionSpecification = [
    'interpolate',
    ['linear'],
    ['zoom'],
    13,
    0.9,
    15,
    1.5,
    17,
    3,
    19,
    4.5,
  ];
  return [
    {
      id: 'register',
      type: 'circle',
      source: 'register',
      'source-layer': 'covers',
      paint: {
        'circle-radius': pale,
        'circle-color': ['interpolate', ['linear'], ['zoom'], 14.5, '#bcc6c1', 16, colour.white],
        'circle-stroke-color': colour.line2,
        'circle-stroke-width': ['interpolate', ['linear'], ['zoom'], 14.5, 0, 16, 1],
      },
    },
  ];
}

function pointLayers(): LayerSpecification[] {
  return [
    {
      id: 'shots',
      type: 'symbol',
      source: 'shots',
      minzoom: 16,
      layout: {
        'icon-image': [
          'match',
          ['get', 'use'],
          'used',
          'shot-used',
          'rejected',
          'shot-rejected',
          'shot-other',
        ],
        'icon-allow-overlap': true,
        'icon-ignore-placement': true,
      },
    },
    ...coverLayers(),
    countLayer(),
  ];
}

/** The project's own picture: streets, overlay's ends, castings and covers. No part of it leaves the server. */
export function mapLayers(latitude: number): LayerSpecification[] {
  return [...streetLayers(latitude), endLayer, ...registerLayers(), ...labelLayers(), ...pointLayers()];
}

export interface StyleOptions {
  latitude: number;
  tiles: TileAddresses;
}

/** The style when no basemap is set. Labels draw from the shipped font file, not from the machine's fonts. */
export function ownStyle({ latitude, tiles }: StyleOptions): StyleSpecification {
  return {
    version: 8,
    'font-faces': { Overpass: new URL(mapFont, location.href).href },
    sources: sourcesFrom(tiles),
    layers: [
      { id: 'ground', type: 'background', paint: { 'background-color': colour.ground } },
      ...mapLayers(latitude),
    ],
  };
}

/** A basemap's style with the project's picture laid over it. */
export function overBasemap(basemap: StyleSpecification, options: StyleOptions): StyleSpecification {
  const own = ownStyle(options);
  return {
    ...basemap,
    'font-faces': { ...basemap['font-faces'], ...own['font-faces'] },
    sources: { ...basemap.sources, ...own.sources },
    layers: [...basemap.layers, ...mapLayers(options.latitude)],
  };
}
