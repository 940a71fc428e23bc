import { plannedCatalogue } from '#core/seal/sealPlan.ts';
import type { RingCatalogue } from '#core/stack/types.ts';
import type { Limits } from '#shared/policy.ts';
import type { RingCatalogue as SharedCatalogue } from '#shared/ring-catalogue.ts';

/** A ring catalogue of the HTTP contract as the computation takes it; `maxChimneyM`: the limit in force in its place. */
export function toCatalogue(
  catalogue: SharedCatalogue,
  maxChimneyM: number = catalogue.maxChimneyM,
): RingCatalogue {
  const { baseM: base, betweenM: between, topM: top } = catalogue.joint;
  return {
    unit: catalogue.unit,
    rings: catalogue.rings.map((ring) => ({
      id: ring.id,
      thin: ring.thinM,
      thick: ring.thickM,
      outerDiameter: ring.outerDiameterM,
      maxPerStack: ring.maxPerStack,
      cost: ring.cost,
    })),
    indexPositions: catalogue.indexPositions,
    indexFrom: catalogue.indexFrom,
    maxRings: catalogue.maxRings,
    maxChimney: maxChimneyM,
    joint: { base, between, top },
  };
}

/** A ring catalogue as the plans of a project take it: up to its chimney limit, joints with the rope of its vacuum test. */
export const catalogueToPlan = (
  catalogue: SharedCatalogue,
  { maxChimneyM, vacuumTest, thickRopeM }: Pick<Limits, 'maxChimneyM' | 'vacuumTest' | 'thickRopeM'>,
): RingCatalogue =>
  plannedCatalogue(toCatalogue(catalogue, maxChimneyM.value ?? undefined), {
    isVacuumAsked: vacuumTest.value === 'all',
    thickRope: thickRopeM.value,
  });
