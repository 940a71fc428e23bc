import type { Map as StreetMap, SymbolLayerSpecification } from 'maplibre-gl';
import { answers } from '../outlook/answer.ts';
import { countLayer, firstCoverZoom, font, plateFor } from './cover-layers.ts';

/** Layers of answers that the page does not hold: all that there are, from the server's tiles. */
const layerIds = ['all-answers', 'all-overlays-left', 'answer-counts'] as const;

export const allAnswers: { layer: string; counts: string } = {
  layer: layerIds[0],
  counts: layerIds[2],
};

/** Symbols of answers, and how many more overlays fit in where one is near enough to read it. */
export function answerLayers(
  source: string,
  ids: readonly [string, string],
  more: Partial<SymbolLayerSpecification> = {},
): SymbolLayerSpecification[] {
  return [
    {
      ...more,
      id: ids[0],
      type: 'symbol',
      source,
      layout: {
        'icon-image': ['concat', 'answer-', ['get', 'answer']],
        'icon-allow-overlap': true,
        'icon-ignore-placement': true,
        'icon-size': ['interpolate', ['linear'], ['zoom'], 12, 0.4, 16, 0.8, 19, 1.15],
        'symbol-sort-key': ['match', ['get', 'answer'], 'no', 2, 'yes', 1, 0],
      },
    },
    {
      ...more,
      id: ids[1],
      type: 'symbol',
      source,
      minzoom: 17,
      filter: ['has', 'left'],
      layout: {
        'text-field': ['concat', ['get', 'left'], '×'],
        'text-font': font,
        'text-size': 12.5,
        'text-anchor': 'left',
        'text-offset': [0.9, 0],
      },
      paint: { 'text-color': '#16201f', 'text-halo-color': '#ffffff', 'text-halo-width': 1.8 },
    },
  ];
}

/** Draws all answers from tiles of an address, or none where it is null. */
export function drawAllAnswers(map: StreetMap, tiles: string | null): void {
  const source = map.getSource('all-answers') as { setTiles?: (tiles: string[]) => void } | undefined;
  if (tiles !== null && source) {
    source.setTiles?.([tiles]);
  } else if (tiles !== null) {
    map.addSource('all-answers', { type: 'vector', tiles: [tiles], minzoom: 0, maxzoom: 18 });
    const points = { 'source-layer': 'covers', minzoom: firstCoverZoom };
    for (const layer of answerLayers('all-answers', [layerIds[0], layerIds[1]], points)) map.addLayer(layer);
    const counts = countLayer() as SymbolLayerSpecification;
    const layout = { ...counts.layout, 'icon-image': plateFor(answers) };
    map.addLayer({ ...counts, id: layerIds[2], source: 'all-answers', layout });
  } else if (source) {
    for (const id of layerIds) map.removeLayer(id);
    map.removeSource('all-answers');
  }
}
