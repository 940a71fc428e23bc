import { effect } from '@preact/signals';
import { Marker, type Map as StreetMapType } from 'maplibre-gl';
import { useEffect, useRef } from 'preact/hooks';
import type { Project } from '#shared/project.ts';
import { openCover, ordered, selected, shownIds } from '../selection.ts';
import { basemap, card, register, show, streets, view } from '../state.ts';
import type { MapView } from '../url.ts';
import { createMap, setData } from './create-map.ts';
import { coverPoints, markStreets, noFeatures, overlayEnds } from './geometry.ts';
import { overBasemap, ownStyle } from './style.ts';

interface Props {
  project: Project;
  bounds: [number, number, number, number];
}

/** Covers where they lie. Everything on it is in the table too. */
export default function StreetMap({ project, bounds }: Props) {
  const ref = useRef<HTMLDivElement>(null);
  useEffect(() => {
    const latitude = (bounds[1] + bounds[3]) / 2;
    const map = createMap({
      container: ref.current!,
      style: basemap.peek().value ? overBasemap(basemap.peek().value!, latitude) : ownStyle(latitude),
      bounds,
      at: view.peek().at,
      unit: project.elevationUnit === 'm' ? 'metric' : 'imperial',
      // Fitting the project follows from the rest of the address; once a person has moved, every move is kept.
      onMove: (at, isByHand) => (isByHand || view.peek().at !== null) && show({ at }, 'replace'),
      onOpen: openCover,
    });
    map.getCanvas().setAttribute('aria-label', 'Map of covers; the table below lists the same covers');
    Object.assign(window, { rimplaneMap: map });
    const stop: (() => void)[] = [];
    map.once('load', () => stop.push(...followState(map)));
    return () => {
      for (const end of stop) end();
      map.remove();
    };
  }, [project.id]);
  return <div ref={ref} class="map-canvas" />;
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
      setData(map, 'streets', lines ? markStreets(lines, ordered.value) : noFeatures);
      setData(map, 'ends', lines ? overlayEnds(lines, ordered.value) : noFeatures);
    }),
    effect(() => setData(map, 'covers', coverPoints(ordered.value))),
    effect(() => {
      const ids = shownIds.value;
      map.removeFeatureState({ source: 'covers' });
      for (const { id } of ordered.value) {
        if (!ids.has(id)) map.setFeatureState({ source: 'covers', id }, { faded: true });
      }
    }),
    effect(() => setData(map, 'register', registerPoints())),
    effect(() => setData(map, 'shots', shotPoints())),
    effect(() => markSelected(map, marker, label)),
    keepInSight(map),
    followAt(map),
  ];
}

function markSelected(map: StreetMapType, marker: Marker, label: HTMLElement): void {
  const cover = selected.value;
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
  const look = () => {
    const cover = selected.peek();
    if (cover && !isFirst) bringIntoView(map, [cover.lon, cover.lat]);
  };
  const end = effect(() => {
    if (selected.value) look();
    isFirst = false;
  });
  // Opening the card narrows the map, which may push the very cover out of the picture.
  map.on('resize', look);
  return end;
}

/** Moves only when the cover lies outside the middle of the picture: a click on the map must not make it jump. */
function bringIntoView(map: StreetMapType, at: [number, number]): void {
  const { x, y } = map.project(at);
  const { clientWidth, clientHeight } = map.getCanvas();
  const isInside = x > 40 && y > 50 && x < clientWidth - 40 && y < clientHeight - 30;
  if (!isInside) map.jumpTo({ center: at });
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

function registerPoints(): GeoJSON.FeatureCollection {
  const own = new Set(ordered.value.map(({ id }) => id));
  const features = (register.value.value ?? [])
    .filter(({ id }) => !own.has(id))
    .map(({ lon, lat }) => ({
      type: 'Feature' as const,
      properties: {},
      geometry: { type: 'Point' as const, coordinates: [lon, lat] },
    }));
  return { type: 'FeatureCollection', features };
}

function shotPoints(): GeoJSON.FeatureCollection {
  const features = (card.value.value?.shots ?? []).map(({ lon, lat, use }) => ({
    type: 'Feature' as const,
    properties: { use: use ?? 'none' },
    geometry: { type: 'Point' as const, coordinates: [lon, lat] },
  }));
  return { type: 'FeatureCollection', features };
}
