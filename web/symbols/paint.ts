import { type Layer, white } from './layers.ts';

type Context = CanvasRenderingContext2D | OffscreenCanvasRenderingContext2D;

/** Paints layers about the centre of a square canvas. `size` is the edge in pixels of the 16-unit field. */
export function paintLayers(context: Context, layers: Layer[], size: number): void {
  const edge = context.canvas.width;
  context.save();
  context.translate(edge / 2, edge / 2);
  context.scale(size / 16, size / 16);
  context.lineJoin = 'round';
  for (const layer of layers) paintLayer(context, layer);
  context.restore();
}

function paintLayer(context: Context, { path, fill, stroke, width = 1, dash }: Layer): void {
  const shape = new Path2D(path);
  context.setLineDash(dash ? [...dash] : []);
  if (fill) {
    context.fillStyle = fill;
    context.fill(shape);
  }
  if (stroke) {
    context.strokeStyle = stroke;
    context.lineWidth = width;
    context.stroke(shape);
  }
}

/** White edge round the whole symbol: pale fills do not stand out from the map ground alone. */
export function haloOf(layers: Layer[], width: number): Layer[] {
  return layers.map(({ path, fill, stroke, width: own = 0 }) => ({
    path,
    fill: fill ? white : undefined,
    stroke: white,
    width: (stroke ? own : 0) + 2 * width,
  }));
}
