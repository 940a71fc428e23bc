import type { Chimney } from '#core/drawing/chimney.ts';
import { buildupNow } from '#core/register/chimney.ts';
import { countedJoint } from '#core/seal/sealPlan.ts';
import type { JointThickness, PlacedRing, Ring } from '#core/stack/types.ts';
import { radians } from '#core/units/slope.ts';
import type { PlacedRing as PlacedDeg } from '#shared/plan.ts';
import type { RingCatalogue } from '#shared/ring-catalogue.ts';
import type { SheetCover } from './sheet/types.ts';
import { isToBuild } from './words.ts';

export function ringsOf(catalogue: RingCatalogue | null): Ring[] {
  return (catalogue?.rings ?? []).map((ring) => ({
    id: ring.id,
    thin: ring.thinM,
    thick: ring.thickM,
    outerDiameter: ring.outerDiameterM,
    maxPerStack: ring.maxPerStack,
    cost: ring.cost,
  }));
}

export const placedOf = (stack: readonly PlacedDeg[]): PlacedRing[] =>
  stack.map(({ ring, azimuthDeg }) => ({ ring, azimuth: azimuthDeg === null ? null : radians(azimuthDeg) }));

/** The joints of a catalogue without a vacuum test's rope. */
export const usualJointOf = (catalogue: RingCatalogue | null): JointThickness => {
  const { baseM: base = 0, betweenM: between = 0, topM: top = 0 } = catalogue?.joint ?? {};
  return { base, between, top };
};

/** The joints that the stack on a sheet was solved with. */
export const jointOf = ({
  chosen,
  plan,
  ringCatalogue,
}: Pick<SheetCover, 'chosen' | 'plan' | 'ringCatalogue'>): JointThickness =>
  chosen?.jointM ?? countedJoint(usualJointOf(ringCatalogue), plan?.thickRopeM);

/** The stack that a sheet prints: what was chosen at the hole, else the plan's where it may be built; null for none. */
export function stackToBuild({ chosen, plan, structure }: SheetCover): readonly PlacedDeg[] | null {
  if (structure.adjustment === 'telescoping') return null;
  if (chosen) return chosen.stack;
  // An empty stack is one only where it was reckoned: the frame goes on the bare seat.
  return isToBuild(plan) && plan?.residual ? plan.stack : null;
}

/** What the section cuts: the stack to build, else the chimney as it stands; null where neither is known, or the seat is not. */
export function chimneyOf(cover: SheetCover): Chimney | null {
  const { structure, ringCatalogue } = cover;
  const { rimElevationM: rim, seatElevationM: seat, frameHeightM: frameHeight } = structure;
  const stack = stackToBuild(cover);
  const today = buildupNow({ rim, seat, frameHeight });
  if (seat === null || (stack === null && today === null)) return null;
  return {
    seatElevation: seat,
    seatGradient: [structure.seatGradientEast, structure.seatGradientNorth],
    stack: placedOf(stack ?? []),
    rings: ringsOf(ringCatalogue),
    joint: jointOf(cover),
    frameHeight,
    rimRadius: structure.rimDiameterM / 2,
    existing: stack === null ? Math.max(0, today!) : null,
  };
}
