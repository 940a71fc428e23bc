import 'maplibre-gl/dist/maplibre-gl.css';
import {
  type GeoJSONSource,
  NavigationControl,
  ScaleControl,
  Map as StreetMap,
  type StyleSpecification,
  setWorkerUrl,
} from 'maplibre-gl';
import workerUrl from 'maplibre-gl/dist/maplibre-gl-worker.mjs?url';
import { addCountPlates } from '../symbols/count-plates.ts';
import { addSymbolImages } from '../symbols/images.ts';
import type { MapView } from '../url.ts';
import { coverLayerNames, firstCoverZoom } from './cover-layers.ts';
import type { SourceName } from './style.ts';

/** A click on a count comes nearer by this. */
const zoomsIn = 2;

setWorkerUrl(new URL(workerUrl, location.href).href);

export interface MapOptions {
  container: HTMLElement;
  style: StyleSpecification;
  /** West, south, east, north. */
  bounds: [number, number, number, number];
  at: MapView | null;
  unit: 'imperial' | 'metric';
  /** `isByHand`: a person moved the map, and not the program. */
  onMove: (at: MapView, isByHand: boolean) => void;
  onOpen: (id: string) => void;
  /** Layers whose points may be clicked, and from which zoom on. */
  points?: { layers: readonly string[]; from: number };
  /** Clicks mean something else for now: they open nothing and come no nearer. */
  isDrawing?: () => boolean;
  /** false: the caller fits the picture to its frame. */
  fitsItself?: boolean;
}

/** Makes the map; resolves nothing: data may be set as soon as `load` has fired. */
export function createMap(options: MapOptions): StreetMap {
  const { container, style, bounds, at, unit, onMove, onOpen, isDrawing, points = coverPoints } = options;
  const { fitsItself = true } = options;
  const map = new StreetMap({
    container,
    style,
    ...(at
      ? { center: [at.longitude, at.latitude], zoom: at.zoom }
      : { bounds, fitBoundsOptions: { padding: 46 } }),
    attributionControl: false,
    maxZoom: 22,
    dragRotate: false,
    pitchWithRotate: false,
    fadeDuration: 0,
    renderWorldCopies: false,
    trackResize: fitsItself,
  });
  map.touchZoomRotate.disableRotation();
  map.addControl(new NavigationControl({ showCompass: false }), 'top-left');
  map.addControl(new ScaleControl({ unit, maxWidth: 90 }), 'bottom-left');
  map.once('styledata', () => addSymbolImages(map));
  addCountPlates(map);
  map.on('moveend', (event) => {
    onMove(viewOf(map), event.originalEvent !== undefined);
  });
  map.on('click', (event) => {
    if (isDrawing?.()) return;
    const id = nearestPoint(map, points, event.point);
    if (id) onOpen(id);
    else if (isOnCount(map, event.point)) {
      map.easeTo(
        { center: event.lngLat, zoom: map.getZoom() + zoomsIn },
        { originalEvent: event.originalEvent },
      );
    }
  });
  map.on('mousemove', (event) => {
    const isOver = nearestPoint(map, points, event.point) !== null || isOnCount(map, event.point);
    map.getCanvas().style.cursor = isOver ? 'pointer' : '';
  });
  return map;
}

function viewOf(map: StreetMap): MapView {
  const { lng, lat } = map.getCenter();
  return { longitude: lng, latitude: lat, zoom: map.getZoom() };
}

const coverPoints: NonNullable<MapOptions['points']> = { layers: coverLayerNames, from: firstCoverZoom };

/** The cover whose symbol lies under a touch of about a finger's breadth. */
function nearestPoint(
  map: StreetMap,
  { layers, from }: NonNullable<MapOptions['points']>,
  { x, y }: { x: number; y: number },
): string | null {
  if (!map.getLayer(layers[0]) || map.getZoom() < from) return null;
  const found = map.queryRenderedFeatures(
    [
      [x - 9, y - 9],
      [x + 9, y + 9],
    ],
    { layers: [...layers] },
  );
  const distance = (feature: (typeof found)[number]) => {
    const at = map.project((feature.geometry as GeoJSON.Point).coordinates as [number, number]);
    return Math.hypot(at.x - x, at.y - y);
  };
  found.sort((a, b) => distance(a) - distance(b));
  return found.length > 0 ? String(found[0].properties.id) : null;
}

function isOnCount(map: StreetMap, { x, y }: { x: number; y: number }): boolean {
  if (!map.getLayer('counts') || map.getZoom() >= firstCoverZoom) return false;
  return map.queryRenderedFeatures([x, y], { layers: ['counts'] }).length > 0;
}

export function setData(map: StreetMap, source: SourceName, data: GeoJSON.FeatureCollection): void {
  (map.getSource(source) as GeoJSONSource | undefined)?.setData(data);
}
