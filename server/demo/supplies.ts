import type { RingSuppliesPatch } from '#shared/ring-supply.ts';

/** How the invented maker packs his rings, and what lies in the town's yard; of two kinds nobody counted it. */
export const demoSupplies: RingSuppliesPatch = {
  rings: [
    { ring: 'FL-050', pack: 6, onHand: 14 },
    { ring: 'FL-075', pack: 6, onHand: 9 },
    { ring: 'FL-100', pack: 6, onHand: 6 },
    { ring: 'FL-150', pack: 4, onHand: 20 },
    { ring: 'FL-200', pack: 4, onHand: 48 },
    { ring: 'FL-300', pack: 3, onHand: 30 },
    { ring: 'TP-A', pack: 2, onHand: 12 },
    { ring: 'TP-B', pack: 2 },
    { ring: 'TP-C', pack: 2 },
  ],
};
