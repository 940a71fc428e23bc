import type { RingCatalogue } from '#core/stack/types.ts';
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
