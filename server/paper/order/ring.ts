import type { TakeoffRing } from '#shared/takeoff.ts';
import type { Paper } from '../paper.ts';

/** A ring from its side, its heights to scale among the rings of a list: hatched, a taper thin to the left. */
export function drawRing(
  paper: Paper,
  { thinM, thickM }: Pick<TakeoffRing, 'thinM' | 'thickM'>,
  { x, bottom, width, scale }: { x: number; bottom: number; width: number; scale: number },
): void {
  const thick = Math.max(2, thickM * scale);
  const thin = Math.max(1, thinM * scale);
  const top = bottom - thick;
  const path = `M${x} ${bottom}H${x + width}V${top}L${x} ${bottom - thin}Z`;
  paper.hatch(
    path,
    { left: x, top, right: x + width, bottom },
    { step: 3.5, weight: 0.5, mirrored: thick > thin },
  );
  paper.shape(path, { weight: 0.9 });
}
