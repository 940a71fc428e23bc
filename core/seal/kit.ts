import { beadLength, cartridgesFor, rollsFor, roundSection } from './sealant.ts';
import type { SealCount } from './sealPlan.ts';

/** Sizes of an agency's sealants. Metres, cubic metres; null where nobody said. */
export interface SealSizes {
  /** Diameter of a round bead. */
  bead: number;
  /** Diameter of the circle that beads and ropes run on. */
  circle: number | null;
  cartridge: number;
  /** Length of a roll of the usual rope, and of a vacuum test's thick one. */
  roll: number | null;
  thickRoll: number | null;
  /** Joins inside one rope besides where its two ends meet; null for any number. */
  mostSplices: number | null;
  /** On top for splice and waste, 0.05 = 5 %. */
  wasteShare: number;
}

export type SealForm = keyof SealCount;

/** What is to be brought for one form of seal; `packs`: cartridges or rolls, null where `missing` says why. */
export interface SealAmount {
  form: SealForm;
  count: number;
  /** All of them, with waste; null where the circle is not known. */
  length: number | null;
  packs: number | null;
  missing: 'circle' | 'roll' | 'rollTooShort' | null;
}

const forms: readonly SealForm[] = ['bead', 'rope', 'thickRope'];

/** What so many beads and ropes of one job take, in the order of `SealCount`; forms that are not laid are left out. */
export const sealAmounts = (counted: SealCount, sizes: SealSizes): SealAmount[] =>
  forms.filter((form) => counted[form] > 0).map((form) => amountOf(form, counted[form], sizes));

function amountOf(form: SealForm, count: number, sizes: SealSizes): SealAmount {
  if (sizes.circle === null) return { form, count, length: null, packs: null, missing: 'circle' };
  const each = beadLength(sizes.circle, sizes.wasteShare);
  const known = { form, count, length: count * each };
  if (form === 'bead') {
    const packs = cartridgesFor(known.length, roundSection(sizes.bead), sizes.cartridge);
    return { ...known, packs, missing: null };
  }
  const roll = form === 'rope' ? sizes.roll : sizes.thickRoll;
  if (roll === null) return { ...known, packs: null, missing: 'roll' };
  const { bySplices } = rollsFor({ beads: count, length: each }, { roll, mostSplices: sizes.mostSplices });
  return { ...known, packs: bySplices, missing: bySplices === null ? 'rollTooShort' : null };
}

const formWords: Record<SealForm, string> = { bead: 'bead', rope: 'rope', thickRope: 'thick rope' };

const many = (count: number, word: string) => `${count} ${word}${count === 1 ? '' : 's'}`;
const laid = ({ form, count }: SealAmount) => many(count, formWords[form]);

/** `5 beads: 6 cartridges`, a line a form; what keeps a figure from being given is said in its place. */
export function sayAmounts(amounts: readonly SealAmount[]): string[] {
  // The circle is one for all forms.
  if (amounts.some(({ missing }) => missing === 'circle')) {
    const all = amounts.map(laid).join(' and ');
    return [`${all}; cartridges and rolls not reckoned, the circle they run on is not set`];
  }
  return amounts.map((amount) => {
    const { form, packs, missing } = amount;
    if (packs !== null) return `${laid(amount)}: ${many(packs, form === 'bead' ? 'cartridge' : 'roll')}`;
    return missing === 'roll'
      ? `${laid(amount)}: rolls not reckoned, the length of one is not set`
      : `${laid(amount)}: no roll is long enough for one with the joins allowed`;
  });
}
