import { computed, effect, signal, untracked } from '@preact/signals';
import { type GeoJSONSource, LngLatBounds, Marker, type Map as StreetMapType } from 'maplibre-gl';
import { useEffect, useRef } from 'preact/hooks';
import type { OverlayRow } from '#shared/outlook.ts';
import type { Project } from '#shared/project.ts';
import { AreaButtons } from '../find/area-buttons.tsx';
import { server } from '../load.ts';
import { answer, shownRows } from '../outlook/answer.ts';
import { csvQuery } from '../outlook/asked.ts';
import { chooseOnMap, farCover } from '../outlook/choose.ts';
import { areaDraft, chosenRow } from '../outlook/drawing.ts';
import { basemap, show, streets, tilesChanged, view } from '../state.ts';
import { allAnswers, answerLayers, drawAllAnswers } from './answer-tiles.ts';
import { followArea } from './area-layers.ts';
import { createMap, setData } from './create-map.ts';
import { markNamed, noFeatures } from './geometry.ts';
import { overBasemap, ownStyle } from './style.ts';

interface Props {
  project: Project;
  bounds: [number, number, number, number];
}

const held = signal<StreetMapType | null>(null);

/** Covers by what they say to the next overlay. All of it is in the table too. */
export default function OverlayMap({ project, bounds }: Props) {
  const ref = useRef<HTMLDivElement>(null);
  useEffect(() => {
    const options = { latitude: (bounds[1] + bounds[3]) / 2, tiles: server().tiles(project.id) };
    const under = basemap.peek().value;
    const map = createMap({
      container: ref.current!,
      style: under ? overBasemap(under, options) : ownStyle(options),
      bounds,
      at: view.peek().at,
      unit: project.elevationUnit === 'm' ? 'metric' : 'imperial',
      onMove: (at, isByHand) => (isByHand || view.peek().at !== null) && show({ at }, 'replace'),
      onOpen: (id, place) => void chooseOnMap(id, place),
      points: { layers: ['answers', allAnswers.layer], from: 0, counts: allAnswers.counts },
      isDrawing: () => untracked(areaDraft.isDrawing),
    });
    map
      .getCanvas()
      .setAttribute('aria-label', 'Map of covers by their answer; the table below lists the same covers');
    held.value = map;
    Object.assign(window, { rimplaneOverlayMap: map });
    const stop: (() => void)[] = [];
    map.once('load', () => {
      addLayers(map);
      stop.push(...follow(map));
    });
    return () => {
      for (const end of stop) end();
      held.value = null;
      map.remove();
    };
  }, [project.id]);
  return (
    <>
      <div ref={ref} class="map-canvas" />
      <AreaButtons map={() => held.value} draft={areaDraft} />
    </>
  );
}

/** The covers of the tiles tell of their plans, which nobody asks about here. */
function addLayers(map: StreetMapType): void {
  for (const id of ['covers', 'faded-covers', 'counts']) map.setLayoutProperty(id, 'visibility', 'none');
  map.addSource('answers', { type: 'geojson', data: noFeatures });
  for (const layer of answerLayers('answers', ['answers', 'overlays-left'])) map.addLayer(layer);
}

export const answerFeatures = (rows: readonly OverlayRow[]): GeoJSON.FeatureCollection => ({
  type: 'FeatureCollection',
  features: rows.map(({ id, answer: said, lon, lat, overlaysLeft }) => ({
    type: 'Feature',
    properties: { id, answer: said, ...(overlaysLeft === null ? {} : { left: overlaysLeft }) },
    geometry: { type: 'Point', coordinates: [lon, lat] },
  })),
});

function follow(map: StreetMapType): (() => void)[] {
  const label = document.createElement('div');
  label.className = 'map-label';
  label.setAttribute('aria-hidden', 'true');
  const marker = new Marker({ element: label, anchor: 'center' });
  return [
    effect(() => {
      const lines = streets.value.value;
      const named = view.value.overlay.streets;
      if (lines) setData(map, 'streets', markNamed(lines, named.length > 0 ? named : null));
    }),
    effect(() => {
      // Rows of a part of the answers would look like all of them: then all are drawn from tiles.
      const rows = answer.value.value?.isCut ? [] : shownRows.value;
      void (map.getSource('answers') as GeoJSONSource).setData(answerFeatures(rows));
    }),
    effect(() => drawAllAnswers(map, tilesOfAll.value)),
    followChanges(map),
    effect(() => {
      const isChosen = ({ id }: { id: string }) => id === chosenRow.value;
      const row =
        shownRows.value.find(isChosen) ?? [farCover.value].find((far) => far !== null && isChosen(far));
      if (!row) {
        marker.remove();
        return;
      }
      label.replaceChildren(Object.assign(document.createElement('span'), { textContent: row.id }));
      marker.setLngLat([row.lon, row.lat]).addTo(map);
      bringIntoView(map, [row.lon, row.lat]);
    }),
    fitToQuestion(map),
    followArea(map, areaDraft),
  ];
}

/** Address of the tiles of all answers; null where the page holds them all. */
const tilesOfAll = computed(() => {
  const { value } = answer.value;
  if (!value?.isCut) return null;
  const query = csvQuery(value.body, value.body.polygon ? view.value.overlay.area : []);
  if (value.only !== null) query.set('answer', value.only);
  return server().answerTiles(query);
});

/** After a change the tiles in sight are asked for again. */
function followChanges(map: StreetMapType): () => void {
  let seen = tilesChanged.peek();
  return effect(() => {
    if (tilesChanged.value === seen) return;
    seen = tilesChanged.value;
    if (map.getSource('all-answers')) map.refreshTiles('all-answers');
  });
}

function bringIntoView(map: StreetMapType, at: [number, number]): void {
  const { x, y } = map.project(at);
  const { clientWidth, clientHeight } = map.getCanvas();
  if (x < 40 || y < 50 || x > clientWidth - 40 || y > clientHeight - 30) map.jumpTo({ center: at });
}

/** Goes to the covers that are asked about when others are; an area is drawn where one looks already. */
function fitToQuestion(map: StreetMapType): () => void {
  const whereOf = () => {
    const body = answer.value.value?.body;
    return body && JSON.stringify([body.streets, body.project]);
  };
  let seen = untracked(whereOf);
  return effect(() => {
    const where = whereOf();
    if (where === undefined || where === seen) return;
    const isFirst = seen === undefined;
    seen = where;
    const { items = [], isCut = false } = answer.peek().value ?? {};
    if (items.length === 0 || (isFirst && view.peek().at !== null)) return;
    // The first rows of many lie anywhere.
    if (isCut) return;
    const around = new LngLatBounds();
    for (const { lon, lat } of items) around.extend([lon, lat]);
    if (view.peek().at !== null) show({ at: null }, 'replace');
    map.fitBounds(around, { padding: 46, maxZoom: 18, animate: false });
  });
}
