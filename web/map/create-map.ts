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
  onOpen: (id: string, at: [lon: number, lat: number]) => void;
  /** Layers whose points may be clicked, and from which zoom on, and the one of counts. */
  points?: { layers: readonly string[]; from: number; counts: string };
  /** Clicks mean something else for now: they open nothing and come no nearer. */
  isDrawing?: () => boolean;
  /** false: the caller fits the picture to its frame. */
  fitsItself?: boolean;
}

type Points = NonNullable<MapOptions['points']>;

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
    const found = nearestPoint(map, points, event.point);
    if (found) onOpen(found.id, found.at);
    else if (isOnCount(map, points, event.point)) {
      map.easeTo(
        { center: event.lngLat, zoom: map.getZoom() + zoomsIn },
        { originalEvent: event.originalEvent },
      );
    }
  });
  map.on('mousemove', (event) => {
    const isOver = nearestPoint(map, points, event.point) !== null || isOnCount(map, points, event.point);
    map.getCanvas().style.cursor = isOver ? 'pointer' : '';
  });
  return map;
}

function viewOf(map: StreetMap): MapView {
  const { lng, lat } = map.getCenter();
  return { longitude: lng, latitude: lat, zoom: map.getZoom() };
}

const coverPoints: Points = { layers: coverLayerNames, from: firstCoverZoom, counts: 'counts' };

/** The cover whose symbol lies under a touch of about a finger's breadth. */
function nearestPoint(
  map: StreetMap,
  { layers, from }: Points,
  { x, y }: { x: number; y: number },
): { id: string; at: [number, number] } | null {
  const drawn = layers.filter((layer) => map.getLayer(layer));
  if (drawn.length === 0 || map.getZoom() < from) return null;
  const found = map.queryRenderedFeatures(
    [
      [x - 9, y - 9],
      [x + 9, y + 9],
    ],
    { layers: drawn },
  );
  const placeOf = ({ geometry }: (typeof found)[number]) =>
    (geometry as GeoJSON.Point).coordinates as [number, number];
  const distance = (feature: (typeof found)[number]) => {
    const at = map.project(placeOf(feature));
    return Math.hypot(at.x - x, at.y - y);
  };
  found.sort((a, b) => distance(a) - distance(b));
  const [nearest] = found;
  return nearest ? { id: String(nearest.properties.id), at: placeOf(nearest) } : null;
}

function isOnCount(map: StreetMap, { counts }: Points, { x, y }: { x: number; y: number }): boolean {
  if (!map.getLayer(counts) || map.getZoom() >= firstCoverZoom) return false;
  return map.queryRenderedFeatures([x, y], { layers: [counts] }).length > 0;
}

export function setData(map: StreetMap, source: SourceName, data: GeoJSON.FeatureCollection): void {
  (map.getSource(source) as GeoJSONSource | undefined)?.setData(data);
}
