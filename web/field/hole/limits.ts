import { policyFrom } from '#core/acceptance/limits.ts';
import type { AcceptancePolicy } from '#core/acceptance/types.ts';
import type { CoverCard } from '#shared/cover.ts';

/** What the agency accepts this cover by. Metres; null where it asks for none. */
export interface AcceptedBy extends AcceptancePolicy {
  /** Of the straightedge that is laid here, whether one is asked for or not. */
  edgeLength: number;
  /** Thick rope for a vacuum test, pressed together. */
  thickRope: number | null;
}

export const acceptedBy = ({ limits, structure }: Pick<CoverCard, 'limits' | 'structure'>): AcceptedBy => ({
  ...policyFrom(limits, structure.kind),
  edgeLength: limits.straightedgeLengthM.value,
  thickRope: limits.thickRopeM.value,
});
