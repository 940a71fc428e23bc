import { effect } from '@preact/signals';
import type { GeoJSONSource, Map as StreetMap } from 'maplibre-gl';
import { type AreaDraft, addCorner } from '../find/area.ts';
import { noFeatures } from './geometry.ts';
import { draftFeatures } from './zone-layers.ts';

const ink = '#16201f';

/** Draws an area; while it is drawn a click or a touch sets a corner. Returns what ends it. */
export function followArea(map: StreetMap, draft: AreaDraft): () => void {
  map.addSource('area', { type: 'geojson', data: noFeatures });
  map.addLayer({
    id: 'area-edge',
    type: 'line',
    source: 'area',
    paint: { 'line-color': ink, 'line-width': 2.4, 'line-dasharray': [2, 1.4] },
  });
  map.addLayer({
    id: 'area-corners',
    type: 'circle',
    source: 'area',
    filter: ['==', ['geometry-type'], 'Point'],
    paint: {
      'circle-radius': 5,
      'circle-color': '#ffffff',
      'circle-stroke-color': ink,
      'circle-stroke-width': 2,
    },
  });
  map.on('click', ({ lngLat: { lng, lat } }) => {
    if (draft.isDrawing()) addCorner(draft, [lng, lat]);
  });
  return effect(() => {
    void (map.getSource('area') as GeoJSONSource).setData(draftFeatures(draft.corners.value));
  });
}
