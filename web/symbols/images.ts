import type { Map as StreetMap } from 'maplibre-gl';
import { statuses } from '#shared/status.ts';
import { answerLayers, ink, type Layer, layersOf, white } from './layers.ts';
import { haloOf, paintLayers } from './paint.ts';

const focus = '#0072B2';

/** Symbols that are no status: shots of the open cover, the way up-station, covers without a plan. */
const others: Record<string, Layer[]> = {
  'status-unplanned': [
    { path: 'M-3.4 0a3.4 3.4 0 1 0 6.8 0a3.4 3.4 0 1 0-6.8 0Z', fill: white, stroke: ink, width: 1.2 },
  ],
  'shot-used': [{ path: 'M0-3.4V3.4M-3.4 0H3.4', stroke: focus, width: 1.6 }],
  'shot-rejected': [{ path: 'M-3-3L3 3M3-3L-3 3', stroke: '#8A2B00', width: 1.6 }],
  'shot-other': [{ path: 'M-1.3 0a1.3 1.3 0 1 0 2.6 0a1.3 1.3 0 1 0-2.6 0Z', fill: focus }],
  'up-station': [{ path: 'M-3.4-3.2L1.6 0L-3.4 3.2', stroke: white, width: 1.5 }],
};

const size = 20;

/** Paints every symbol once, at the screen's own sharpness, and hands it to the map. */
export function addSymbolImages(map: StreetMap): void {
  const ratio = Math.max(1, Math.min(3, Math.ceil(devicePixelRatio)));
  for (const { code, shape, fill } of statuses) addImage(map, `status-${code}`, layersOf(shape, fill), ratio);
  for (const [answer, layers] of Object.entries(answerLayers))
    addImage(map, `answer-${answer}`, [...layers], ratio);
  for (const [name, layers] of Object.entries(others)) addImage(map, name, layers, ratio);
}

function addImage(map: StreetMap, name: string, layers: Layer[], ratio: number): void {
  const field = size * ratio;
  const canvas = document.createElement('canvas');
  canvas.width = canvas.height = Math.ceil(field * 1.3);
  const context = canvas.getContext('2d', { willReadFrequently: true })!;
  if (name !== 'up-station') paintLayers(context, haloOf(layers, 1.1), field);
  paintLayers(context, layers, field);
  if (map.hasImage(name)) map.removeImage(name);
  map.addImage(name, context.getImageData(0, 0, canvas.width, canvas.height), { pixelRatio: ratio });
}
