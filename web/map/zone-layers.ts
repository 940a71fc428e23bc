import type { Map as StreetMap } from 'maplibre-gl';
import type { LineFeature } from '#shared/line.ts';
import type { TreatmentZone } from '#shared/treatment.ts';
import type { Corner } from '../grade/outline.ts';
import { font } from './cover-layers.ts';
import { noFeatures } from './geometry.ts';

const ink = '#16201f';
const blue = '#0072b2';

/** How strongly zones and lines are drawn: on their own page they are what one looks at. */
const plain = { fill: 0.1, edge: 1.6, line: 1.6, opacity: 1, name: 13 };
const quiet = { fill: 0.05, edge: 1, line: 1.1, opacity: 0.6, name: 12.5 };

/** Zones and lines under the covers; `isQuiet`: on a map that is about something else. */
export function addGroundLayers(map: StreetMap, isQuiet: boolean): void {
  const strength = isQuiet ? quiet : plain;
  for (const id of ['zones', 'lines']) map.addSource(id, { type: 'geojson', data: noFeatures });
  const under = 'faded-covers';
  map.addLayer(
    {
      id: 'zone-areas',
      type: 'fill',
      source: 'zones',
      paint: { 'fill-color': ink, 'fill-opacity': strength.fill },
    },
    under,
  );
  map.addLayer(
    {
      id: 'zone-edges',
      type: 'line',
      source: 'zones',
      paint: {
        'line-color': ink,
        'line-width': strength.edge,
        'line-opacity': strength.opacity,
        'line-dasharray': [3, 2],
      },
    },
    under,
  );
  map.addLayer(
    {
      id: 'drawn-lines',
      type: 'line',
      source: 'lines',
      paint: { 'line-color': blue, 'line-width': strength.line, 'line-opacity': strength.opacity },
    },
    under,
  );
  map.addLayer({
    id: 'zone-names',
    type: 'symbol',
    source: 'zones',
    layout: { 'text-field': ['get', 'name'], 'text-font': font, 'text-size': strength.name },
    paint: {
      'text-color': ink,
      'text-opacity': strength.opacity,
      'text-halo-color': '#ffffff',
      'text-halo-width': 2,
    },
  });
}

/** Zones, lines and the outline that is being drawn. */
export function addZoneLayers(map: StreetMap): void {
  addGroundLayers(map, false);
  map.addSource('draft', { type: 'geojson', data: noFeatures });
  map.addLayer({
    id: 'draft-edge',
    type: 'line',
    source: 'draft',
    paint: { 'line-color': ink, 'line-width': 2.4 },
  });
  map.addLayer({
    id: 'draft-corners',
    type: 'circle',
    source: 'draft',
    filter: ['==', ['geometry-type'], 'Point'],
    paint: {
      'circle-radius': 6,
      'circle-color': '#ffffff',
      'circle-stroke-color': ink,
      'circle-stroke-width': 2,
    },
  });
}

/** Stored zones; the one that is being drawn anew is shown as it is drawn. */
export function zoneFeatures(
  zones: readonly TreatmentZone[],
  exceptId: string | null,
): GeoJSON.FeatureCollection {
  return {
    type: 'FeatureCollection',
    features: zones
      .filter(({ id }) => id !== exceptId)
      .map(({ geometry, name }) => ({
        type: 'Feature',
        properties: { name },
        geometry: geometry as GeoJSON.Polygon | GeoJSON.MultiPolygon,
      })),
  };
}

export const lineFeatures = (lines: readonly LineFeature[]): GeoJSON.FeatureCollection => ({
  type: 'FeatureCollection',
  features: lines.map(({ geometry, properties: { kind } }) => ({
    type: 'Feature',
    properties: { kind },
    geometry: geometry as GeoJSON.LineString,
  })),
});

/** Corners, numbered from 1, and the sides between them; closed from the third on. */
export function draftFeatures(corners: readonly Corner[]): GeoJSON.FeatureCollection {
  const points = corners.map(
    (coordinates, at): GeoJSON.Feature => ({
      type: 'Feature',
      properties: { number: at + 1 },
      geometry: { type: 'Point', coordinates },
    }),
  );
  if (corners.length < 2) return { type: 'FeatureCollection', features: points };
  const coordinates = corners.length > 2 ? [...corners, corners[0]] : [...corners];
  const side: GeoJSON.Feature = {
    type: 'Feature',
    properties: {},
    geometry: { type: 'LineString', coordinates },
  };
  return { type: 'FeatureCollection', features: [side, ...points] };
}
