import type { SealedJoint } from '#core/field/facts.ts';
import type { JointThickness } from '#core/stack/types.ts';

export { thickJoint } from '#core/seal/sealPlan.ts';

/** A sealing as it is typed: one product all through, thick rope at bottom and top or not, and each joint's count. */
export interface SealDraft {
  form: SealedJoint['form'];
  product: string;
  sizeM: number;
  /** Diameter of the thick rope at bottom and top; null for none. */
  thickM: number | null;
  /** From the seat up. */
  joints: readonly JointDraft[];
}

export interface JointDraft {
  count: number;
  endsJoined: boolean;
}

/** One joint more than rings, what was typed of them kept. */
export const jointsFor = (typed: readonly JointDraft[], rings: number): JointDraft[] =>
  Array.from({ length: rings + 1 }, (_, joint) => typed[joint] ?? { count: 1, endsJoined: false });

/** Joints as they are recorded, from the seat up. The thick rope lies on the seat and under the frame. */
export function sealedJoints({ form, product, sizeM, thickM, joints }: SealDraft): SealedJoint[] {
  const top = joints.length - 1;
  return joints.map(({ count, endsJoined }, joint) => {
    const isThick = thickM !== null && (joint === 0 || joint === top);
    return {
      joint,
      form: isThick ? 'rope' : form,
      product: product.trim(),
      sizeM: isThick ? thickM : sizeM,
      count,
      endsJoined,
    };
  });
}

/** What thick rope adds to a stack: a stack on the bare seat has one joint only. */
export function thickGain(now: JointThickness, then: JointThickness, rings: number): number {
  return then.base - now.base + (rings > 0 ? then.top - now.top : 0);
}
