import mapFont from '@fontsource/overpass/files/overpass-latin-600-normal.woff2?url';
import type { LayerSpecification, StyleSpecification } from 'maplibre-gl';
import { font } from '../../map/cover-layers.ts';
import { noFeatures } from '../../map/geometry.ts';
import { labelLayers, streetLayers } from '../../map/style.ts';

const [ink, white, ground, here] = ['#16201f', '#ffffff', '#edefec', '#0072b2'];

const drawn = { type: 'geojson', data: noFeatures } as const;

/** Sources that the page fills from what is on the phone. */
export type NightSource = 'streets' | 'covers' | 'place';

const placeLayers: LayerSpecification[] = [
  {
    id: 'place-circle',
    type: 'fill',
    source: 'place',
    filter: ['==', ['geometry-type'], 'Polygon'],
    paint: { 'fill-color': here, 'fill-opacity': 0.18, 'fill-outline-color': here },
  },
  {
    id: 'place-dot',
    type: 'circle',
    source: 'place',
    filter: ['==', ['geometry-type'], 'Point'],
    paint: {
      'circle-radius': 9,
      'circle-color': here,
      'circle-stroke-color': white,
      'circle-stroke-width': 3,
    },
  },
];

const coverLayers = (chosen: string | null): LayerSpecification[] => [
  {
    id: 'chosen',
    type: 'circle',
    source: 'covers',
    filter: ['==', ['get', 'id'], chosen ?? ''],
    paint: {
      'circle-radius': 21,
      'circle-color': white,
      'circle-stroke-color': ink,
      'circle-stroke-width': 3,
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
      'icon-size': ['interpolate', ['linear'], ['zoom'], 13, 0.9, 17, 1.4],
      'text-field': ['get', 'number'],
      'text-font': font,
      'text-size': 17,
      'text-variable-anchor': ['left', 'right', 'top', 'bottom'],
      'text-radial-offset': 0.95,
      'text-optional': true,
      'symbol-sort-key': ['to-number', ['get', 'number']],
    },
    paint: { 'text-color': ink, 'text-halo-color': white, 'text-halo-width': 2.2 },
  },
];

/** A night's map: every part of it is on the phone. */
export function nightStyle(latitude: number, chosen: string | null): StyleSpecification {
  return {
    version: 8,
    'font-faces': { Overpass: new URL(mapFont, location.href).href },
    sources: { streets: drawn, covers: drawn, place: drawn },
    layers: [
      { id: 'ground', type: 'background', paint: { 'background-color': ground } },
      ...streetLayers(latitude),
      ...labelLayers(),
      ...placeLayers,
      ...coverLayers(chosen),
    ],
  };
}
