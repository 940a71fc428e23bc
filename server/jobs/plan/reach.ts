import type { Policy } from '#core/plan/policy.ts';
import { nearReachOf, reachOf } from '#core/plan/reach.ts';

/** How far from a cover shots are looked for, metres: those on coded lines `far`, all others `near`. */
export interface Reach {
  near: number;
  far: number;
}

export const reachesOf = (policy: Policy): Reach => ({ near: nearReachOf(policy), far: reachOf(policy) });
