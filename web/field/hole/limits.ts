import { policyFrom } from '#core/acceptance/limits.ts';
import type { AcceptancePolicy } from '#core/acceptance/types.ts';
import type { CoverCard } from '#shared/cover.ts';

/** What the agency accepts this cover by. Metres; null where it asks for none. */
export interface AcceptedBy extends AcceptancePolicy {
  /** Of the straightedge that is laid here, whether one is asked for or not. */
  edgeLength: number;
  /** A ring heavier than this is lifted by two, kilograms. */
  twoPersonsKg: number;
  /** Thick rope for a vacuum test, pressed together. */
  thickRope: number | null;
}

/** As the server's default; a night that an older page put on the phone names none. */
const usualTwoPersonsKg = 23;

export const liftLimitOf = (limits: Partial<Pick<CoverCard['limits'], 'twoPersonsKg'>>): number =>
  limits.twoPersonsKg?.value ?? usualTwoPersonsKg;

export const acceptedBy = ({ limits, structure }: Pick<CoverCard, 'limits' | 'structure'>): AcceptedBy => ({
  ...policyFrom(limits, structure.kind),
  edgeLength: limits.straightedgeLengthM.value,
  twoPersonsKg: liftLimitOf(limits),
  thickRope: limits.thickRopeM.value,
});
