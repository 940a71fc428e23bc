import Type, { type Static, type TSchema } from 'typebox';
import { exact, nullable, oneOf, Slug } from './schema.ts';

/** Who said a figure. */
export const supplySources = ['default', 'agency', 'project'] as const;

const figure = <Value extends TSchema>(value: Value) => exact({ value, from: oneOf(supplySources) });

const rings = (description: string) => Type.Integer({ minimum: 0, maximum: 1_000_000, description });
const Pack = Type.Integer({ minimum: 1, maximum: 10_000, description: 'Rings in a pack.' });
const SpareShare = Type.Number({
  minimum: 0,
  maximum: 1,
  description: 'Spare rings as a share of those needed: 0.05 is 5 %.',
});
const SpareAtLeast = rings('Spare rings at least, however few are needed.');
const OnHand = rings('Rings that are there and not used yet.');

/** How one ring is ordered. */
export const RingSupply = exact({
  ring: Type.String(),
  pack: figure(Pack),
  spareShare: figure(SpareShare),
  spareAtLeast: figure(SpareAtLeast),
  onHand: figure(nullable(OnHand)),
});

/** The figures in force for all rings of a catalogue, in its order, each with who said it. */
export const RingSupplies = exact({
  ringCatalogueId: Slug,
  /** Of every ring that has none of its own. */
  spareShare: figure(SpareShare),
  rings: Type.Array(RingSupply),
});

/** What is left out stays; null takes back what was said there. */
export const RingSuppliesPatch = exact({
  spareShare: Type.Optional(nullable(SpareShare)),
  rings: Type.Optional(
    Type.Array(
      exact({
        ring: Type.String({ minLength: 1, maxLength: 64 }),
        pack: Type.Optional(nullable(Pack)),
        spareShare: Type.Optional(nullable(SpareShare)),
        spareAtLeast: Type.Optional(nullable(SpareAtLeast)),
        onHand: Type.Optional(nullable(OnHand)),
      }),
      { maxItems: 200 },
    ),
  ),
});

export type RingSupply = Static<typeof RingSupply>;
export type RingSupplies = Static<typeof RingSupplies>;
export type RingSuppliesPatch = Static<typeof RingSuppliesPatch>;
export type SupplySource = (typeof supplySources)[number];
