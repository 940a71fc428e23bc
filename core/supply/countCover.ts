import type { FieldStatus } from '../field/walk.ts';
import type { PlanningStatus } from '../plan/types.ts';
import type { FieldStack } from './fieldStack.ts';

/** Why rings of a cover cannot be counted. */
export const leftOutReasons = [
  'unplanned',
  'unsurveyed',
  'remeasure',
  'review',
  'rebuild',
  'stale',
  'offGrade',
  'contradicted',
] as const;
export type LeftOutReason = (typeof leftOutReasons)[number];

/** A cover as a takeoff asks for it. */
export interface TakeoffCover {
  /** Takes no rings. */
  telescoping: boolean;
  /** null: not planned. */
  status: PlanningStatus | null;
  fieldStatus: FieldStatus | null;
  /** The stack was put together, and what its plan was made from changed after that. */
  isStale: boolean;
  /** Rings of the plan in force, ids bottom-up; null where it has no stack that was reckoned. */
  planned: readonly string[] | null;
  field: FieldStack;
}

/** What a cover is in a takeoff: exactly one of these. */
export type CountedAs =
  /** Its rings are still to be set, and counted. */
  | 'toBuild'
  /** Nothing is to be set: it stays, telescopes, or its frame goes on the seat. */
  | 'ringless'
  /** Its rings stand. */
  | 'built'
  | 'leftOut';

export interface Counted {
  as: CountedAs;
  /** null but for `leftOut`. */
  why: LeftOutReason | null;
  needed: readonly string[];
  /** Rings that stand there already, also of one that is left out. */
  standing: readonly string[];
}

const standingStatuses: ReadonlySet<FieldStatus | null> = new Set(['stacked', 'set', 'offGrade', 'accepted']);
const none: readonly string[] = [];
const leftOut = (why: LeftOutReason, standing = none): Counted => ({
  as: 'leftOut',
  why,
  needed: none,
  standing,
});

/**
 * Which rings a cover takes: those that were chosen at its hole, else those of its plan; none any more where they stand. A
 * rim that is off grade and has no new stack yet is left out, as is a stack whose plan was overtaken.
 */
export function countCover(cover: TakeoffCover): Counted {
  const { status, fieldStatus, field } = cover;
  const planned = status === 'raise' || status === 'lower' ? cover.planned : null;
  const rings = cover.telescoping ? none : (field.rings ?? planned);
  if (standingStatuses.has(fieldStatus)) {
    const standing = rings ?? none;
    if (fieldStatus === 'offGrade') return leftOut('offGrade', standing);
    if (cover.isStale && fieldStatus !== 'accepted') return leftOut('stale', standing);
    return { as: 'built', why: null, needed: none, standing };
  }
  if (cover.telescoping && status !== null && isDecided(status)) return ringless;
  if (field.contradicts) return leftOut('contradicted');
  if (field.rings === null) {
    if (cover.isStale) return leftOut('stale');
    if (status === null) return leftOut('unplanned');
    if (status === 'leave') return ringless;
    if (!isDecided(status)) return leftOut(status);
    if (planned === null) return leftOut('review');
  }
  if (rings === null || rings.length === 0) return ringless;
  return { as: 'toBuild', why: null, needed: rings, standing: none };
}

const ringless: Counted = { as: 'ringless', why: null, needed: none, standing: none };

function isDecided(status: PlanningStatus): status is 'raise' | 'lower' | 'leave' {
  return status === 'raise' || status === 'lower' || status === 'leave';
}
