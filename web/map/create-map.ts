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
import { addSymbolImages } from '../symbols/images.ts';
import type { MapView } from '../url.ts';
import type { SourceName } from './style.ts';

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
}

/** Makes the map; resolves nothing: data may be set as soon as `load` has fired. */
export function createMap({ container, style, bounds, at, unit, onMove, onOpen }: MapOptions): StreetMap {
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
  });
  map.touchZoomRotate.disableRotation();
  map.addControl(new NavigationControl({ showCompass: false }), 'top-left');
  map.addControl(new ScaleControl({ unit, maxWidth: 90 }), 'bottom-left');
  map.once('styledata', () => addSymbolImages(map));
  map.on('moveend', (event) => {
    onMove(viewOf(map), event.originalEvent !== undefined);
  });
  map.on('click', (event) => {
    const id = nearestCover(map, event.point);
    if (id) onOpen(id);
  });
  map.on('mousemove', (event) => {
    map.getCanvas().style.cursor = nearestCover(map, event.point) ? 'pointer' : '';
  });
  return map;
}

function viewOf(map: StreetMap): MapView {
  const { lng, lat } = map.getCenter();
  return { longitude: lng, latitude: lat, zoom: map.getZoom() };
}

/** The cover whose symbol lies under a touch of about a finger's breadth. */
function nearestCover(map: StreetMap, { x, y }: { x: number; y: number }): string | null {
  if (!map.getLayer('covers')) return null;
  const found = map.queryRenderedFeatures(
    [
      [x - 9, y - 9],
      [x + 9, y + 9],
    ],
    { layers: ['covers'] },
  );
  const distance = (feature: (typeof found)[number]) => {
    const at = map.project((feature.geometry as GeoJSON.Point).coordinates as [number, number]);
    return Math.hypot(at.x - x, at.y - y);
  };
  found.sort((a, b) => distance(a) - distance(b));
  return found.length > 0 ? String(found[0].properties.id) : null;
}

export function setData(map: StreetMap, source: SourceName, data: GeoJSON.FeatureCollection): void {
  (map.getSource(source) as GeoJSONSource | undefined)?.setData(data);
}
