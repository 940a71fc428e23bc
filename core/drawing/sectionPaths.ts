import type { Section, Slab } from './chimney.ts';

/** Turns metres across the cut and elevations into pixels, at one scale both ways. */
export interface Pen {
  /** Pixels in a metre. */
  scale: number;
  x: (across: number) => number;
  y: (elevation: number) => number;
}

type Point = readonly [across: number, elevation: number];

/** The opening is drawn a little inside the rim: the register has no clear opening. */
const openingOf = (rimRadius: number) => rimRadius * 0.9;

function closed(pen: Pen, points: readonly Point[]): string {
  return `M${points.map(([x, z]) => `${pen.x(x).toFixed(1)} ${pen.y(z).toFixed(1)}`).join('L')}Z`;
}

/** Radii of the cut, metres. */
export interface Radii {
  rim: number;
  /** Outer edge of what the frame bears on. */
  bearing: number;
}

/** The two cut faces of a ring or a joint, left and right of the opening. */
export function bandPath(pen: Pen, slab: Slab, { rim, bearing }: Radii): string {
  const outer = slab.ring ? slab.ring.outerDiameter / 2 : bearing;
  const inner = openingOf(rim);
  const face = (from: number, to: number) =>
    closed(pen, [
      [from, slab.bottom + slab.bottomSlope * from],
      [to, slab.bottom + slab.bottomSlope * to],
      [to, slab.top + slab.topSlope * to],
      [from, slab.top + slab.topSlope * from],
    ]);
  return face(-outer, -inner) + face(inner, outer);
}

/** Point in the frame's own axes: `out` from its axis, `up` from its base, standing normal to the base. */
function onFrame(slab: Slab, out: number, up: number): Point {
  const turn = Math.atan(slab.bottomSlope);
  return [
    out * Math.cos(turn) - up * Math.sin(turn),
    slab.bottom + out * Math.sin(turn) + up * Math.cos(turn),
  ];
}

/** Flange, wall and lid ledge, both sides. */
export function framePath(pen: Pen, slab: Slab, { rim: rimRadius, bearing }: Radii): string {
  const height = slab.top - slab.bottom;
  const opening = openingOf(rimRadius);
  const profile: Point[] = [
    [bearing * 0.98, 0],
    [bearing * 0.98, height * 0.1],
    [rimRadius * 1.02, height * 0.2],
    [rimRadius, height],
    [rimRadius * 0.955, height],
    [rimRadius * 0.94, height * 0.74],
    [opening * 0.96, height * 0.68],
    [opening * 0.96, height * 0.56],
    [rimRadius * 0.955, height * 0.5],
    [opening * 1.02, 0],
  ];
  const side = (sign: number) =>
    closed(
      pen,
      profile.map(([out, up]) => onFrame(slab, sign * out, up)),
    );
  return side(-1) + side(1);
}

/** The lid in its ledge. */
export function coverPath(pen: Pen, slab: Slab, { rim: rimRadius }: Radii): string {
  const height = slab.top - slab.bottom;
  const half = rimRadius * 0.935;
  const corner = (out: number, up: number) => onFrame(slab, out, up);
  return closed(pen, [
    corner(-half, height),
    corner(half, height),
    corner(half, height * 0.76),
    corner(half * 0.6, height * 0.7),
    corner(-half * 0.6, height * 0.7),
    corner(-half, height * 0.76),
  ]);
}

/** Top of the cone or slab below the seat, both sides. */
export function seatPath(pen: Pen, lowest: Slab, { rim: rimRadius, bearing }: Radii): string {
  const z = (x: number) => lowest.bottom + lowest.bottomSlope * x;
  const inner = openingOf(rimRadius);
  const outer = bearing * 1.02;
  const depth = 0.15;
  const side = (sign: number) =>
    closed(pen, [
      [sign * inner, z(sign * inner)],
      [sign * outer, z(sign * outer)],
      [sign * (outer + 0.03), z(0) - depth],
      [sign * (inner + 0.03), z(0) - depth],
    ]);
  return side(-1) + side(1);
}

interface Ground {
  gradeAt: (across: number) => number;
  halfSpan: number;
}

/** Pavement and soil beside the chimney, up to the finished grade. */
export function pavementPath(pen: Pen, section: Section, { gradeAt, halfSpan }: Ground): string {
  const floor = section.slabs[0].bottom - 0.15;
  const beside = section.halfWidth * 1.04;
  const side = (sign: number) =>
    closed(pen, [
      [sign * beside, gradeAt(sign * beside)],
      [sign * halfSpan, gradeAt(sign * halfSpan)],
      [sign * halfSpan, floor],
      [sign * beside, floor],
    ]);
  return side(-1) + side(1);
}
