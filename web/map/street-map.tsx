import { computed, effect, untracked } from '@preact/signals';
import { type GeoJSONSource, Marker, type Map as StreetMapType } from 'maplibre-gl';
import { useEffect, useRef } from 'preact/hooks';
import type { Project } from '#shared/project.ts';
import { faultOf } from '../api.ts';
import { AreaButtons } from '../find/area-buttons.tsx';
import { areaDraft } from '../find/picked.ts';
import { fewCovers } from '../find/rows.ts';
import { keepDrawn, lines, zones } from '../imports/laid.ts';
import { server } from '../load.ts';
import { openCover, ordered, selected } from '../selection.ts';
import { basemap, card, project as chosen, mapFault, show, streets, tilesChanged, view } from '../state.ts';
import type { MapView } from '../url.ts';
import { afterCard, followSize } from './after-card.ts';
import { followArea } from './area-layers.ts';
import { chosenTiles, coverSources, followFilter } from './chosen.ts';
import { firstCoverZoom } from './cover-layers.ts';
import { createMap, setData } from './create-map.ts';
import { markStreets, noFeatures, overlayEnds } from './geometry.ts';
import { overBasemap, ownStyle } from './style.ts';
import { addGroundLayers, lineFeatures, zoneFeatures } from './zone-layers.ts';

/** A street block or two. */
const openCoverZoom = 15.5;

/** Where the open cover lies: from its card while the list of covers is still on its way. */
const openPlace = computed(() => {
  const id = view.value.cover;
  if (id === null) return null;
  if (selected.value) return selected.value;
  const structure = card.value.value?.structure;
  return structure?.id === id ? structure : null;
});

interface Props {
  project: Project;
  bounds: [number, number, number, number];
}

/** Covers where they lie. Everything on it is in the table too. */
export default function StreetMap({ project, bounds }: Props) {
  const ref = useRef<HTMLDivElement>(null);
  const held = useRef<StreetMapType | null>(null);
  useEffect(() => {
    const latitude = (bounds[1] + bounds[3]) / 2;
    const options = { latitude, tiles: server().tiles(project.id) };
    const under = basemap.peek().value;
    const map = createMap({
      container: ref.current!,
      style: under ? overBasemap(under, options) : ownStyle(options),
      bounds,
      at: view.peek().at,
      unit: project.elevationUnit === 'm' ? 'metric' : 'imperial',
      // Fitting the project follows from the rest of the address; once a person has moved, every move is kept.
      onMove: (at, isByHand) => (isByHand || view.peek().at !== null) && show({ at }, 'replace'),
      onOpen: openCover,
      isDrawing: () => untracked(areaDraft.isDrawing),
      fitsItself: false,
    });
    map.getCanvas().setAttribute('aria-label', 'Map of covers; the table below lists the same covers');
    held.current = map;
    Object.assign(window, { rimplaneMap: map });
    map.on('error', ({ error, ...event }) => {
      const isOfCovers = coverSources.some((source) => 'sourceId' in event && event.sourceId === source);
      if (isOfCovers) mapFault.value = faultOf(error);
    });
    const stop: (() => void)[] = [followSize(map)];
    map.once('load', () => {
      keepDrawn();
      addGroundLayers(map, true);
      stop.push(...followState(map));
    });
    return () => {
      for (const end of stop) end();
      map.remove();
    };
  }, [project.id]);
  return (
    <>
      <div ref={ref} class="map-canvas" />
      <AreaButtons map={() => held.current} draft={areaDraft} />
    </>
  );
}

/** Keeps the map's sources and marks like the state; returns what ends it. */
function followState(map: StreetMapType): (() => void)[] {
  const label = document.createElement('div');
  label.className = 'map-label';
  label.setAttribute('aria-hidden', 'true');
  const marker = new Marker({ element: label, anchor: 'center' });
  return [
    effect(() => {
      const lines = streets.value.value;
      setData(map, 'streets', lines ? markStreets(lines, ownCovers.value) : noFeatures);
    }),
    effect(() => {
      const lines = streets.value.value;
      setData(map, 'ends', lines ? overlayEnds(lines, ordered.value) : noFeatures);
    }),
    effect(() => {
      if (chosen.value) keepDrawn();
    }),
    effect(() => put(map, 'zones', zoneFeatures(zones.value.value ?? [], null))),
    effect(() => put(map, 'lines', lineFeatures(lines.value.value?.features ?? []))),
    followFilter(map, chosenTiles),
    followChanges(map),
    effect(() => setData(map, 'shots', shotPoints())),
    effect(() => markSelected(map, marker, label)),
    keepInSight(map),
    followAt(map),
    followArea(map, areaDraft),
  ];
}

function put(map: StreetMapType, source: 'zones' | 'lines', data: GeoJSON.FeatureCollection): void {
  void (map.getSource(source) as GeoJSONSource).setData(data);
}

/**
 * Of a large project the streets are not told apart: all are drawn as its own. Those of a city are too many to be sent to
 * the map's worker again for each cover that is opened.
 */
const ownCovers = computed(() => ((chosen.value?.coverCount ?? 0) > fewCovers ? null : ordered.value));

/** After a change the tiles in sight are asked for again; those that it left as they were are not sent again. */
function followChanges(map: StreetMapType): () => void {
  let seen = tilesChanged.peek();
  return effect(() => {
    if (tilesChanged.value === seen) return;
    seen = tilesChanged.value;
    mapFault.value = null;
    for (const source of [...coverSources, 'register']) {
      if (map.getSource(source)) map.refreshTiles(source);
    }
  });
}

function markSelected(map: StreetMapType, marker: Marker, label: HTMLElement): void {
  const cover = openPlace.value;
  if (!cover) {
    marker.remove();
    return;
  }
  label.replaceChildren(Object.assign(document.createElement('span'), { textContent: cover.id }));
  marker.setLngLat([cover.lon, cover.lat]).addTo(map);
}

/** Keeps the open cover in sight, except where the address itself says what to look at. */
function keepInSight(map: StreetMapType): () => void {
  let isFirst = view.peek().at !== null;
  let stop = () => {};
  const look = () => {
    const cover = openPlace.peek();
    if (cover) bringIntoView(map, [cover.lon, cover.lat]);
  };
  const end = effect(() => {
    stop();
    if (openPlace.value && !isFirst) stop = afterCard(look);
    isFirst = false;
  });
  // Opening the card narrows the map, which may push the very cover out of the picture.
  map.on('resize', look);
  return () => {
    stop();
    end();
  };
}

/** Moves only when the cover lies outside the middle of the picture: a click on the map must not make it jump. */
function bringIntoView(map: StreetMapType, at: [number, number]): void {
  const { x, y } = map.project(at);
  const { clientWidth, clientHeight } = map.getCanvas();
  const isInside = x > 40 && y > 50 && x < clientWidth - 40 && y < clientHeight - 30;
  // Where counts alone are drawn the cover would lie under one of them.
  if (map.getZoom() < firstCoverZoom) map.jumpTo({ center: at, zoom: openCoverZoom });
  else if (!isInside) map.jumpTo({ center: at });
}

/** The back button moves the map as well. */
function followAt(map: StreetMapType): () => void {
  let seen = view.peek().at;
  return effect(() => {
    const { at } = view.value;
    if (at === seen) return;
    seen = at;
    if (at) goTo(map, at);
  });
}

function goTo(map: StreetMapType, { longitude, latitude, zoom }: MapView): void {
  const { lng, lat } = map.getCenter();
  const isThere =
    Math.abs(lng - longitude) < 2e-6 &&
    Math.abs(lat - latitude) < 2e-6 &&
    Math.abs(map.getZoom() - zoom) < 0.01;
  if (!isThere && !map.isMoving()) map.jumpTo({ center: [longitude, latitude], zoom });
}

function shotPoints(): GeoJSON.FeatureCollection {
  const features = (card.value.value?.shots ?? []).map(({ lon, lat, use }) => ({
    type: 'Feature' as const,
    properties: { use: use ?? 'none' },
    geometry: { type: 'Point' as const, coordinates: [lon, lat] },
  }));
  return { type: 'FeatureCollection', features };
}
