import { computed, effect, type ReadonlySignal } from '@preact/signals';
import type { Map as StreetMap } from 'maplibre-gl';
import { filterQuery } from '../find/rows.ts';
import { server } from '../load.ts';
import { project, view } from '../state.ts';
import { countLayer, coverLayers, filterCovers } from './cover-layers.ts';

/**
 * Address of the tiles that hold those covers alone that a filter leaves; null where all are drawn. What a person types and
 * the statuses are told from the tiles of all covers, without asking for others.
 */
export const chosenTiles = computed<string | null>(() => tilesOf(null));

/** The same of the covers within an area alone; `polygon`: its corners as an address has them, null without one. */
export function tilesOf(polygon: string | null): string | null {
  const { only, ranges } = view.value;
  const id = project.value?.id;
  const isHeld = Object.keys(only).length + Object.keys(ranges).length > 0 || polygon !== null;
  if (id === undefined || !isHeld) return null;
  const query = filterQuery({ filter: [], search: '', only, ranges });
  if (polygon !== null) query.set('polygon', polygon);
  return server().chosenTiles(id, query);
}

/** Sources that covers and their numbers are drawn from. */
export const coverSources = ['covers', 'chosen'] as const;

/** Draws covers and numbers from the tiles of the chosen ones, or from those of all again. */
export function drawFrom(map: StreetMap, tiles: string | null): void {
  const source = map.getSource('chosen') as { setTiles?: (tiles: string[]) => void } | undefined;
  if (tiles !== null && source) {
    source.setTiles?.([tiles]);
    return;
  }
  if (tiles !== null) {
    map.addSource('chosen', { type: 'vector', tiles: [tiles], minzoom: 0, maxzoom: 18 });
    moveLayers(map, 'chosen');
  } else if (source) {
    moveLayers(map, 'covers');
    map.removeSource('chosen');
  }
}

/** Laying out what is in sight again takes a moment, so nothing is done where nothing is filtered. */
export function followFilter(map: StreetMap, chosen: ReadonlySignal<string | null>): () => void {
  let seen = '[[],"",null]';
  return effect(() => {
    const { filter, search } = view.value;
    const tiles = chosen.value;
    const wanted = JSON.stringify([filter, search, tiles]);
    if (wanted === seen) return;
    const wasChosen = JSON.parse(seen)[2];
    seen = wanted;
    if (tiles !== wasChosen) drawFrom(map, tiles);
    filterCovers(map, { statuses: filter, search, isChosen: tiles !== null });
  });
}

/** A layer keeps its source for life: it is made anew in its place. */
function moveLayers(map: StreetMap, source: (typeof coverSources)[number]): void {
  for (const layer of [...coverLayers(), countLayer()]) {
    if (layer.id !== 'covers' && layer.id !== 'counts') continue;
    const order = map.getLayersOrder();
    const above = order[order.indexOf(layer.id) + 1];
    map.removeLayer(layer.id);
    map.addLayer({ ...layer, source } as typeof layer, above);
  }
}
