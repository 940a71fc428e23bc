import 'maplibre-gl/dist/maplibre-gl.css';
import { type GeoJSONSource, ScaleControl, Map as StreetMap, setWorkerUrl } from 'maplibre-gl';
import workerUrl from 'maplibre-gl/dist/maplibre-gl-worker.mjs?url';
import { addSymbolImages } from '../../symbols/images.ts';
import type { NightSource } from './style.ts';
import { nightStyle } from './style.ts';

/** Half of a touch, in pixels: a cover within 44 px by 44 px of it is meant. */
const reach = 22;
/** A single cover would be looked at from too near. */
const nearestZoom = 18.5;

let worker: Promise<void> | null = null;

/**
 * The map's worker from the page's own copy of it. By its address it lies outside what the page's service worker answers
 * for, so without a signal it could only come from the browser's cache, which may be emptied.
 */
function prepareWorker(): Promise<void> {
  worker ??= fetch(workerUrl).then(async (answer) => {
    if (!answer.ok) throw new Error(`The map's worker: ${answer.status}`);
    const code = new Blob([await answer.arrayBuffer()], { type: 'text/javascript' });
    setWorkerUrl(URL.createObjectURL(code));
  });
  worker.catch(() => {
    worker = null;
  });
  return worker;
}

export interface NightMapOptions {
  container: HTMLElement;
  bounds: [number, number, number, number];
  /** Cover with a ring round it, and in the middle. */
  chosen: { id: string; at: [number, number] } | null;
  unit: 'imperial' | 'metric';
  onOpen: (id: string) => void;
}

/** Resolves once sources take data. */
export async function makeNightMap(options: NightMapOptions): Promise<StreetMap> {
  const { container, bounds, chosen, unit, onOpen } = options;
  await prepareWorker();
  const map = new StreetMap({
    container,
    style: nightStyle((bounds[1] + bounds[3]) / 2, chosen?.id ?? null),
    ...(chosen
      ? { center: chosen.at, zoom: 17.5 }
      : { bounds, fitBoundsOptions: { padding: 56, maxZoom: nearestZoom } }),
    attributionControl: false,
    maxZoom: 21,
    dragRotate: false,
    pitchWithRotate: false,
    fadeDuration: 0,
    renderWorldCopies: false,
  });
  map.touchZoomRotate.disableRotation();
  map.touchPitch.disable();
  map.addControl(new ScaleControl({ unit, maxWidth: 110 }), 'bottom-left');
  map.once('styledata', () => addSymbolImages(map));
  map.on('click', ({ point }) => {
    const id = nearestCover(map, point);
    if (id !== null) onOpen(id);
  });
  await map.once('load');
  return map;
}

function nearestCover(map: StreetMap, { x, y }: { x: number; y: number }): string | null {
  const found = map.queryRenderedFeatures(
    [
      [x - reach, y - reach],
      [x + reach, y + reach],
    ],
    { layers: ['covers'] },
  );
  const distance = ({ geometry }: (typeof found)[number]) => {
    const at = map.project((geometry as GeoJSON.Point).coordinates as [number, number]);
    return Math.hypot(at.x - x, at.y - y);
  };
  found.sort((a, b) => distance(a) - distance(b));
  return found.length > 0 ? String(found[0].properties.id) : null;
}

export function setNightData(map: StreetMap, source: NightSource, data: GeoJSON.FeatureCollection): void {
  void (map.getSource(source) as GeoJSONSource).setData(data);
}
