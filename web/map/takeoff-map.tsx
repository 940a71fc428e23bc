import { computed, effect, signal, untracked } from '@preact/signals';
import { LngLatBounds, type Map as StreetMapType } from 'maplibre-gl';
import { useEffect, useRef } from 'preact/hooks';
import type { Project } from '#shared/project.ts';
import { AreaButtons } from '../find/area-buttons.tsx';
import { server } from '../load.ts';
import { basemap, show, streets, tilesChanged, view } from '../state.ts';
import { areaDraft, polygon } from '../takeoff/asked.ts';
import { followArea } from './area-layers.ts';
import { coverSources, followFilter, tilesOf } from './chosen.ts';
import { createMap, setData } from './create-map.ts';
import { markStreets } from './geometry.ts';
import { overBasemap, ownStyle } from './style.ts';

interface Props {
  project: Project;
  bounds: [number, number, number, number];
}

const held = signal<StreetMapType | null>(null);
const tiles = computed(() => tilesOf(polygon.value));

/** The covers of a takeoff, those that it leaves out by filter or area faded, and the area as it is drawn. */
export default function TakeoffMap({ project, bounds }: Props) {
  const ref = useRef<HTMLDivElement>(null);
  useEffect(() => {
    const options = { latitude: (bounds[1] + bounds[3]) / 2, tiles: server().tiles(project.id) };
    const under = basemap.peek().value;
    const map = createMap({
      container: ref.current!,
      style: under ? overBasemap(under, options) : ownStyle(options),
      bounds: boundsOfArea() ?? bounds,
      at: null,
      unit: project.elevationUnit === 'm' ? 'metric' : 'imperial',
      onMove: () => {},
      onOpen: (cover) => show({ page: 'map', cover }),
      isDrawing: () => untracked(areaDraft.isDrawing),
    });
    map.getCanvas().setAttribute('aria-label', 'Map of the covers of this takeoff; an area is drawn on it');
    held.value = map;
    Object.assign(window, { rimplaneTakeoffMap: map });
    const stop: (() => void)[] = [];
    map.once('load', () => stop.push(...follow(map)));
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

/** The area that the address came with. */
function boundsOfArea(): [number, number, number, number] | null {
  const { area } = view.peek().takeoff;
  if (area.length === 0) return null;
  const around = new LngLatBounds();
  for (const corner of area) around.extend(corner);
  return around.toArray().flat() as [number, number, number, number];
}

function follow(map: StreetMapType): (() => void)[] {
  let seen = tilesChanged.peek();
  return [
    effect(() => {
      const { value } = streets.value;
      if (value) setData(map, 'streets', markStreets(value, null));
    }),
    followFilter(map, tiles),
    effect(() => {
      if (tilesChanged.value === seen) return;
      seen = tilesChanged.value;
      for (const source of coverSources) if (map.getSource(source)) map.refreshTiles(source);
    }),
    followArea(map, areaDraft),
  ];
}
