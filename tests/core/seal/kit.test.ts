import { describe, expect, it } from 'vitest';
import { type SealSizes, sayAmounts, sealAmounts } from '#core/seal/kit.ts';
import { fluidOunce } from '#core/seal/sealant.ts';
import { countSeals, sealPlan } from '#core/seal/sealPlan.ts';

const inch = 0.0254;
const foot = 12 * inch;
const sizes: SealSizes = {
  bead: inch / 2,
  circle: 29 * inch,
  cartridge: 10.1 * fluidOunce,
  roll: 12 * foot,
  thickRoll: 12 * foot,
  mostSplices: 0,
  wasteShare: 0.05,
};
const none = { bead: 0, rope: 0, thickRope: 0 };

/** Worked example of the trade (common practice, no source): 3 rings, 4 joints, the bottom one doubled. */
describe('what a stack of three rings on a rough seat takes', () => {
  const plan = sealPlan({
    rings: 3,
    isVacuumAsked: false,
    isThick: { base: false, top: false },
    isSeatRough: true,
  });
  const counted = countSeals([plan]);

  it('is 478.3 in of bead, 6 cartridges of 10.1 fl oz at 1/2 in', () => {
    const [amount, ...rest] = sealAmounts(counted, sizes);
    expect(amount).toMatchObject({ form: 'bead', count: 5, packs: 6, missing: null });
    expect(amount.length! / inch).toBeCloseTo(478.3, 1);
    expect(rest).toEqual([]);
    expect(sayAmounts([amount])).toEqual(['5 beads: 6 cartridges']);
  });

  it('is 5 rolls of 12 ft where each rope goes round in one piece, 4 where any number of joins is allowed', () => {
    const ropes = { ...none, rope: 5 };
    expect(sealAmounts(ropes, sizes)).toMatchObject([{ form: 'rope', count: 5, packs: 5 }]);
    expect(sealAmounts(ropes, { ...sizes, mostSplices: null })).toMatchObject([{ packs: 4 }]);
  });
});

describe('sealant that cannot be counted', () => {
  const counted = { bead: 3, rope: 1, thickRope: 2 };

  it('says that nobody set the circle, and gives no figure', () => {
    const amounts = sealAmounts(counted, { ...sizes, circle: null });
    expect(amounts.every(({ packs, length }) => packs === null && length === null)).toBe(true);
    expect(sayAmounts(amounts)).toEqual([
      '3 beads and 1 rope and 2 thick ropes; cartridges and rolls not reckoned, the circle they run on is not set',
    ]);
  });

  it('says which roll is not known or too short, and counts the rest', () => {
    expect(sayAmounts(sealAmounts(counted, { ...sizes, thickRoll: null }))).toEqual([
      '3 beads: 4 cartridges',
      '1 rope: 1 roll',
      '2 thick ropes: rolls not reckoned, the length of one is not set',
    ]);
    expect(sayAmounts(sealAmounts({ ...none, rope: 1 }, { ...sizes, roll: 7 * foot }))).toEqual([
      '1 rope: no roll is long enough for one with the joins allowed',
    ]);
    expect(sealAmounts({ ...none, rope: 1 }, { ...sizes, roll: 7 * foot, mostSplices: 1 })).toMatchObject([
      { packs: 2 },
    ]);
  });

  it('is nothing where nothing is laid', () => {
    expect(sayAmounts(sealAmounts(none, { ...sizes, circle: null }))).toEqual([]);
  });
});
