import type { JointThickness, PlacedRing, Ring } from '../stack/types.ts';
import type { Gradient } from '../surface/types.ts';

/** What is cut open in the stack section. Metres, radians, elevations above the project's datum. */
export interface Chimney {
  seatElevation: number;
  seatGradient: Gradient;
  stack: PlacedRing[];
  rings: Ring[];
  joint: JointThickness;
  frameHeight: number;
  rimRadius: number;
  /** Chimney that stands today and stays, drawn in place of rings; null where the plan's stack is drawn. */
  existing: number | null;
}

/** A slab between two planes along the cut: at x its faces lie at bottom + bottomSlope * x and so on. */
export interface Slab {
  part: 'joint' | 'ring' | 'existing' | 'frame';
  ring: Ring | null;
  /** 1 = the ring on the seat. */
  number: number;
  bottom: number;
  bottomSlope: number;
  top: number;
  topSlope: number;
}

export interface Section {
  /** Azimuth toward the right-hand end of the drawing. */
  rightAzimuth: number;
  slabs: Slab[];
  /** Half width of what the frame stands on: the rings' outer edge, or the frame's flange where there are none. */
  halfWidth: number;
}

const along = (gradient: Gradient, azimuth: number) =>
  gradient[0] * Math.sin(azimuth) + gradient[1] * Math.cos(azimuth);

/** The cut that shows a taper best: through its thin side, which ends on the right. */
export function chooseCut(stack: PlacedRing[], finished: Gradient | null, bearing: number | null): number {
  const tapered = stack.filter((placed) => placed.azimuth !== null);
  if (tapered.length === 1) return tapered[0].azimuth! + Math.PI;
  if (finished && Math.hypot(...finished) > 0.002) return Math.atan2(-finished[0], -finished[1]);
  return (bearing ?? 0) + Math.PI / 2;
}

/** Heights and slopes of every slab, from the seat up, along the cut. Rings not in the catalogue are left out. */
export function cutChimney(chimney: Chimney, rightAzimuth: number): Section {
  const slabs: Slab[] = [];
  let height = chimney.seatElevation;
  let slope = along(chimney.seatGradient, rightAzimuth);
  const radii = chimney.stack.map(
    ({ ring: id }) => chimney.rings.find((ring) => ring.id === id)?.outerDiameter ?? 0,
  );
  const widest = chimney.existing === null ? Math.max(0, ...radii) / 2 : 0;
  const halfWidth = Math.max(widest || chimney.rimRadius * 1.3, chimney.rimRadius * 1.08);
  const put = (part: Slab['part'], thickness: number, turn: number, ring: Ring | null, number: number) => {
    const top = height + thickness;
    slabs.push({ part, ring, number, bottom: height, bottomSlope: slope, top, topSlope: slope + turn });
    height = top;
    slope += turn;
  };
  if (chimney.existing !== null) {
    put('existing', chimney.existing, 0, null, 0);
    put('frame', chimney.frameHeight, 0, null, 0);
    return { rightAzimuth, slabs, halfWidth };
  }
  put('joint', chimney.joint.base, 0, null, 0);
  chimney.stack.forEach((placed, index) => {
    const ring = chimney.rings.find(({ id }) => id === placed.ring);
    if (!ring) return;
    if (index > 0) put('joint', chimney.joint.between, 0, null, index);
    const taper = placed.azimuth === null ? 0 : (ring.thick - ring.thin) / ring.outerDiameter;
    const turn = taper * Math.cos((placed.azimuth ?? 0) - rightAzimuth);
    put('ring', (ring.thin + ring.thick) / 2, turn, ring, index + 1);
  });
  if (chimney.stack.length > 0) put('joint', chimney.joint.top, 0, null, chimney.stack.length);
  put('frame', chimney.frameHeight, 0, null, 0);
  return { rightAzimuth, slabs, halfWidth };
}
