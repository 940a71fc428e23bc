import type { CoverCard } from '#shared/cover.ts';

/** What the agency accepts this cover by. Metres; null where it asks for none. */
export interface AcceptedBy {
  proud: number;
  low: number;
  straightedge: { length: number; along: number | null; across: number | null };
  vacuum: boolean;
  /** Thick rope for a vacuum test, pressed together. */
  thickRope: number | null;
}

/** Water has to find its way into drainage: it has limits of its own. */
export function acceptedBy({ limits, structure }: Pick<CoverCard, 'limits' | 'structure'>): AcceptedBy {
  const isDrainage = limits.drainageKinds.value.includes(structure.kind);
  return {
    proud: (isDrainage ? limits.drainageProudM : limits.acceptProudM).value,
    low: (isDrainage ? limits.drainageLowM : limits.acceptLowM).value,
    straightedge: {
      length: limits.straightedgeLengthM.value,
      along: limits.straightedgeAlongM.value,
      across: limits.straightedgeAcrossM.value,
    },
    vacuum: limits.vacuumTest.value === 'all',
    thickRope: limits.thickRopeM.value,
  };
}
