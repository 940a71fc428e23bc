import type { StatusShape } from '#shared/status.ts';

/** One painted layer of a symbol: an SVG path about (0, 0) in a field of 16 x 16, y down. */
export interface Layer {
  path: string;
  fill?: string;
  stroke?: string;
  width?: number;
  dash?: readonly [number, number];
}

export const ink = '#16201F';
export const white = '#FFFFFF';

const disc = (radius: number) =>
  `M${-radius} 0a${radius} ${radius} 0 1 0 ${2 * radius} 0a${radius} ${radius} 0 1 0 ${-2 * radius} 0Z`;
const block = (x: number, y: number, width: number, height: number) =>
  `M${x} ${y}h${width}v${height}h${-width}Z`;
const outline = { stroke: ink, width: 1.3 };

type Draw = (fill: string) => Layer[];

/** From the bottom layer up. Outline tells the kind of state, fill tells which: either alone still works. */
const shapes: Record<StatusShape, Draw> = {
  dashedRing: (fill) => [{ path: disc(5.9), fill: white, stroke: fill, width: 1.7, dash: [2.32, 2.31] }],
  target: (fill) => [
    { path: 'M0-7.6V7.6M-7.6 0H7.6', stroke: ink, width: 1.5 },
    { path: disc(4.3), fill, ...outline },
    { path: disc(1.2), fill: ink },
  ],
  diamondMark: (fill) => [
    { path: 'M0-7.4L7.4 0L0 7.4L-7.4 0Z', fill, ...outline },
    { path: 'M0-3.8V.8', stroke: ink, width: 1.7 },
    { path: 'M0 2.2V3.9', stroke: ink, width: 1.7 },
  ],
  courses: (fill) => [
    { path: block(-7, 2.7, 10.4, 3.5), fill, stroke: ink, width: 0.8 },
    { path: block(-3.6, -1.75, 10.6, 3.5), fill, stroke: ink, width: 0.8 },
    { path: block(-6.2, -6.2, 10.4, 3.5), fill, stroke: ink, width: 0.8 },
  ],
  triangleDown: (fill) => [{ path: 'M-7-5.4H7L0 6.4Z', fill, ...outline }],
  triangleUp: (fill) => [{ path: 'M-7 5.4H7L0-6.4Z', fill, ...outline }],
  pill: (fill) => [
    { path: 'M-4.6-2.5H4.6A2.5 2.5 0 0 1 4.6 2.5H-4.6A2.5 2.5 0 0 1-4.6-2.5Z', fill, ...outline },
  ],
  discDot: (fill) => [
    { path: disc(6.2), fill, ...outline },
    { path: disc(2.2), fill: ink },
  ],
  squareRing: (fill) => [
    { path: block(-6.6, -6.6, 13.2, 13.2), fill, ...outline },
    { path: disc(3.6), stroke: white, width: 1.7 },
  ],
  discHalf: (fill) => [
    { path: disc(6.2), fill: white },
    { path: 'M-6.2 0A6.2 6.2 0 0 0 6.2 0Z', fill },
    { path: 'M-6.2 0H6.2', stroke: ink, width: 1.2 },
    { path: disc(6.2), ...outline },
  ],
  discFull: (fill) => [{ path: disc(6.2), fill, ...outline }],
  cross: (fill) => [
    { path: 'M-5.2-5.2L5.2 5.2M5.2-5.2L-5.2 5.2', stroke: ink, width: 5.2 },
    { path: 'M-4.8-4.8L4.8 4.8M4.8-4.8L-4.8 4.8', stroke: fill, width: 2.9 },
  ],
  discTick: (fill) => [
    { path: disc(6.2), fill, ...outline },
    { path: 'M-2.9 .2L-.8 2.4L3-2.2', stroke: white, width: 1.8 },
  ],
};

/** Layers of a status symbol; `fill` is the status colour. */
export function layersOf(shape: StatusShape, fill: string): Layer[] {
  return shapes[shape](fill);
}

export const answerFills = { yes: '#35978F', no: '#8C510A' } as const;

/**
 * Answers about the next overlay: a gauge of the chimney. Room above what is filled, filled to its lid, not read. They are
 * no statuses, so that they share neither shape nor fill with one.
 */
export const answerLayers = {
  yes: [
    { path: block(-5.2, -6.4, 10.4, 12.8), fill: white, ...outline },
    { path: block(-4.5, 1.4, 9, 4.3), fill: answerFills.yes },
    { path: 'M0 -4.6V0M-2.3 -2.2L0 -4.6L2.3 -2.2', stroke: ink, width: 1.4 },
  ],
  no: [
    { path: block(-5.2, -5.2, 10.4, 11.6), fill: answerFills.no, ...outline },
    { path: 'M-7.4 -6.2H7.4', stroke: ink, width: 2.6 },
  ],
  unknown: [
    { path: block(-5.2, -6.4, 10.4, 12.8), fill: white, stroke: ink, width: 1.3, dash: [2.2, 1.6] },
    { path: 'M-1.9 -2.3C-1.9 -4.6 1.9 -4.6 1.9 -2.3C1.9 -0.6 0 -0.8 0 1.2', stroke: ink, width: 1.5 },
    { path: 'M0 2.6V4.2', stroke: ink, width: 1.6 },
  ],
} as const satisfies Record<string, readonly Layer[]>;
