import mapFont from '@fontsource/overpass/files/overpass-latin-600-normal.woff2?url';
import type { ExpressionSpecification, LayerSpecification, StyleSpecification } from 'maplibre-gl';
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

const font = ['Overpass'];

/** Pixels for a width in metres that stays true to scale on the ground, in 512-pixel tiles of Web Mercator. */
function groundWidth(
  latitude: number,
  times: ExpressionSpecification | number,
  extra = 0,
): ExpressionSpecification {
  const metresPerPixel = (40_075_016.686 / 512) * Math.cos((latitude * Math.PI) / 180);
  const at = (zoom: number): ExpressionSpecification => [
    '+',
    extra,
    ['max', zoom < 15 ? 1.2 : 2, ['/', times, metresPerPixel / 2 ** zoom]],
  ];
  return ['interpolate', ['exponential', 2], ['zoom'], 10, at(10), 15, at(15), 22, at(22)];
}

const sources = {
  streets: { type: 'geojson', data: noFeatures },
  ends: { type: 'geojson', data: noFeatures },
  register: { type: 'geojson', data: noFeatures },
  shots: { type: 'geojson', data: noFeatures },
  covers: { type: 'geojson', data: noFeatures, promoteId: 'id' },
} as const satisfies StyleSpecification['sources'];

export type SourceName = keyof typeof sources;
export const sourceNames = Object.keys(sources) as SourceName[];

function streetLayers(latitude: number): LayerSpecification[] {
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
    { id: 'ends', type: 'line', source: 'ends', paint: { 'line-color': colour.grade, 'line-width': 2.5 } },
  ];
}

function labelLayers(): LayerSpecification[] {
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
    {
      id: 'covers',
      type: 'symbol',
      source: 'covers',
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
      paint: { 'icon-opacity': ['case', ['boolean', ['feature-state', 'faded'], false], 0.17, 1] },
    },
  ];
}

/** The project's own picture: streets, overlay's ends, castings and covers. No part of it leaves the server. */
export function mapLayers(latitude: number): LayerSpecification[] {
  return [...streetLayers(latitude), ...registerLayers(), ...labelLayers(), ...pointLayers()];
}

/** The style when no basemap is set. Labels draw from the shipped font file, not from the machine's fonts. */
export function ownStyle(latitude: number): StyleSpecification {
  return {
    version: 8,
    'font-faces': { Overpass: new URL(mapFont, location.href).href },
    sources,
    layers: [
      { id: 'ground', type: 'background', paint: { 'background-color': colour.ground } },
      ...mapLayers(latitude),
    ],
  };
}

/** A basemap's style with the project's picture laid over it. */
export function overBasemap(basemap: StyleSpecification, latitude: number): StyleSpecification {
  const own = ownStyle(latitude);
  return {
    ...basemap,
    'font-faces': { ...basemap['font-faces'], ...own['font-faces'] },
    sources: { ...basemap.sources, ...sources },
    layers: [...basemap.layers, ...mapLayers(latitude)],
  };
}
