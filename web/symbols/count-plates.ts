import type { Map as StreetMap } from 'maplibre-gl';
import { type StatusCode, statusOf } from '#shared/status.ts';
import { answerFills, ink, white } from './layers.ts';

/** First word of the names of plates; behind it stand `status:parts`, the parts being of `shareParts` in all. */
export const plateName = 'plate';
export const shareParts = 24;

/** Pixels of a plate, and of the strip at its foot. */
const plate = { width: 46, height: 25, corner: 4 };
const strip = { left: 4, top: 16, width: 38, height: 6 };
/** Clear pixels round a plate: between whole pixels the map would cut its outline off. */
const air = 2;
const pale = '#DFE4E1';

export interface Share {
  fill: string;
  /** Pixels from the strip's left end. */
  from: number;
  to: number;
}

/** Where each status of a plate's name lies on the strip; what no status takes stays pale. */
export function sharesOf(name: string): Share[] {
  const parts = name
    .split(' ')
    .slice(1)
    .map((part) => part.split(':'));
  const given = parts.map(([code, count]) => ({ code, count: Number(count) }));
  // Least parts of one and rounding may make a few more than there are.
  const all = Math.max(
    shareParts,
    given.reduce((sum, { count }) => sum + count, 0),
  );
  let from = 0;
  return given.map(({ code, count }) => {
    const share = { fill: fillOf(code), from, to: from + (strip.width * count) / all };
    from = share.to;
    return share;
  });
}

/** Answers to an overlay have the fills of their symbols. */
const otherFills: Record<string, string> = { unplanned: white, unknown: white, ...answerFills };

const fillOf = (code: string) => otherFills[code] ?? statusOf(code as StatusCode).fill;

/** Paints a plate when the map first asks for one of its name. */
export function addCountPlates(map: StreetMap): void {
  const ratio = Math.max(1, Math.min(3, Math.ceil(devicePixelRatio)));
  map.setMissingStyleImageResolver((id) => {
    if (!id.startsWith(`${plateName} `) || map.hasImage(id)) return;
    const canvas = document.createElement('canvas');
    canvas.width = (plate.width + 2 * air) * ratio;
    canvas.height = (plate.height + 2 * air) * ratio;
    const context = canvas.getContext('2d', { willReadFrequently: true })!;
    context.scale(ratio, ratio);
    context.translate(air, air);
    paintPlate(context, sharesOf(id));
    map.addImage(id, context.getImageData(0, 0, canvas.width, canvas.height), { pixelRatio: ratio });
  });
}

function paintPlate(context: CanvasRenderingContext2D, shares: readonly Share[]): void {
  context.beginPath();
  context.roundRect(1, 1, plate.width - 2, plate.height - 2, plate.corner);
  context.fillStyle = white;
  context.fill();
  context.lineWidth = 1.2;
  context.strokeStyle = ink;
  context.stroke();
  const { left, top, width, height } = strip;
  context.fillStyle = pale;
  context.fillRect(left, top, width, height);
  for (const { fill, from, to } of shares) {
    context.fillStyle = fill;
    context.fillRect(left + from, top, to - from, height);
  }
  context.lineWidth = 0.8;
  context.strokeRect(left, top, width, height);
}
