import type { JointThickness, RingCatalogue } from '../stack/types.ts';

/** What is laid in a joint: joint 0 on the seat, joint n on ring n. */
export interface SealOrder {
  form: 'bead' | 'rope';
  count: 1 | 2;
  isThick: boolean;
}

export interface SealAsked {
  rings: number;
  isVacuumAsked: boolean;
  /** Joints whose rope is thicker than the catalogue's usual seal. */
  isThick: { base: boolean; top: boolean };
  /** Sound, but rough: takes two beads side by side. */
  isSeatRough: boolean;
}

/** Joints differ for people from 1 micrometre on. */
const noticed = 1e-6;

/** Whether a stack was solved with more than the usual joint on the seat and under the frame. */
export const thickEnds = (joint: JointThickness, usual: JointThickness): SealAsked['isThick'] => ({
  base: joint.base > usual.base + noticed,
  top: joint.top > usual.top + noticed,
});

/**
 * What is to be laid in each of `rings` + 1 joints, from the seat up. Rope and no tube where a vacuum test is asked for,
 * thick where the stack was solved so; two on a rough seat. Common practice, no source.
 */
export function sealPlan({ rings, isVacuumAsked, isThick, isSeatRough }: SealAsked): SealOrder[] {
  return Array.from({ length: rings + 1 }, (_, joint) => {
    const isThickHere = (joint === 0 && isThick.base) || (joint === rings && rings > 0 && isThick.top);
    return {
      form: isVacuumAsked || isThickHere ? 'rope' : 'bead',
      count: joint === 0 && isSeatRough ? 2 : 1,
      isThick: isThickHere,
    };
  });
}

/** Rope as its product and the agency have it. */
export interface RopeAsked {
  /** Of every cover a vacuum test is asked. */
  isVacuumAsked: boolean;
  /** Pressed thickness of the thick rope for it, metres; null where nobody said. */
  thickRope: number | null;
}

/** Joints with thick rope pressed to `pressed` on the seat and under the frame. */
export const thickJoint = (usual: JointThickness, pressed: number): JointThickness => ({
  ...usual,
  base: pressed,
  top: pressed,
});

/**
 * The joints that a plan is solved with: the catalogue's, with thick rope at bottom and top where every cover is asked
 * for a vacuum test and the rope's pressed thickness is known. Metres.
 */
export function plannedJoint(usual: JointThickness, { isVacuumAsked, thickRope }: RopeAsked): JointThickness {
  return countedJoint(usual, isVacuumAsked ? thickRope : null);
}

/** The joints of a stack that was planned with so much thick rope at bottom and top; null or absent for none. */
export const countedJoint = (usual: JointThickness, thickRope: number | null | undefined): JointThickness =>
  thickRope == null ? usual : thickJoint(usual, thickRope);

/** A catalogue as plans take it: with the joints of `plannedJoint`, and the rope that they count. */
export function plannedCatalogue(usual: RingCatalogue, asked: RopeAsked): RingCatalogue {
  if (!asked.isVacuumAsked || asked.thickRope === null) return usual;
  return { ...usual, joint: plannedJoint(usual.joint, asked), thickRope: asked.thickRope };
}

/** Thinner by less is no other rope: 0.1 mm, as a stack is written down. */
const sameRope = 1e-4;

/** Whether a stack of so many rings with these joints counts less rope at bottom or top than a test asks for. */
export const lacksRope = (joint: JointThickness, wanted: JointThickness, rings: number): boolean =>
  joint.base < wanted.base - sameRope || (rings > 0 && joint.top < wanted.top - sameRope);

/** `one bead`, `two thick ropes`. */
export function orderWords({ form, count, isThick }: SealOrder): string {
  return `${count === 1 ? 'one' : 'two'} ${isThick ? 'thick ' : ''}${form}${count === 1 ? '' : 's'}`;
}

/** Beads and ropes of several covers, by form: `{bead: 5, rope: 0, thickRope: 0}`. */
export interface SealCount {
  bead: number;
  rope: number;
  thickRope: number;
}

export function countSeals(plans: readonly (readonly SealOrder[])[]): SealCount {
  const counted: SealCount = { bead: 0, rope: 0, thickRope: 0 };
  for (const { form, count, isThick } of plans.flat()) {
    counted[isThick ? 'thickRope' : form] += count;
  }
  return counted;
}
