import { readRingCatalogue } from '#core/register/rings.ts';
import type { RingCatalogue } from '#core/stack/types.ts';

/** An invented maker's rings, as a catalogue file gives them: inches, flats and tapers, 24 marks. */
export const ringCatalogueFile = {
  unit: 'in',
  indexPositions: 24,
  indexFrom: 'road',
  maxRings: 6,
  maxChimney: 14,
  joint: { base: 0.1, between: 0.1, top: 0.1 },
  rings: [
    { id: 'FL-050', thin: 0.5, thick: 0.5, outerDiameter: 34, maxPerStack: 2, cost: 31, weightLb: 10 },
    { id: 'FL-075', thin: 0.75, thick: 0.75, outerDiameter: 34, maxPerStack: 2, cost: 33, weightLb: 15 },
    { id: 'FL-100', thin: 1, thick: 1, outerDiameter: 34, maxPerStack: 3, cost: 36, weightLb: 20 },
    { id: 'FL-150', thin: 1.5, thick: 1.5, outerDiameter: 34, maxPerStack: 3, cost: 41, weightLb: 30 },
    { id: 'FL-200', thin: 2, thick: 2, outerDiameter: 34, maxPerStack: 4, cost: 48, weightLb: 40 },
    { id: 'FL-300', thin: 3, thick: 3, outerDiameter: 34, maxPerStack: 4, cost: 62, weightLb: 59 },
    { id: 'TP-A', thin: 0.5, thick: 1, outerDiameter: 34, maxPerStack: 2, cost: 52, weightLb: 15 },
    { id: 'TP-B', thin: 0.75, thick: 1.5, outerDiameter: 34, maxPerStack: 2, cost: 55, weightLb: 22 },
    { id: 'TP-C', thin: 0.5, thick: 1.75, outerDiameter: 34, maxPerStack: 2, cost: 61, weightLb: 22 },
  ],
} as const;

/** The same catalogue as the computation sees it, metres. */
export function makeRingCatalogue(): RingCatalogue {
  const read = readRingCatalogue(ringCatalogueFile);
  if (Array.isArray(read)) throw new Error(`the demo's ring catalogue is faulty: ${JSON.stringify(read)}`);
  return read;
}
