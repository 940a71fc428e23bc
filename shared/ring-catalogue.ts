import Type, { type Static } from 'typebox';
import { lengthUnits } from './agency.ts';
import { exact, nullable, nullableNumber, oneOf, Slug } from './schema.ts';

const thickness = Type.Number({ exclusiveMinimum: 0, maximum: 1 });

/** `thinM` = `thickM` is a flat ring. */
export const Ring = exact({
  id: Type.String({ minLength: 1, maxLength: 64 }),
  thinM: Type.Number({ minimum: 0, maximum: 1 }),
  thickM: thickness,
  outerDiameterM: Type.Number({ exclusiveMinimum: 0, maximum: 5 }),
  maxPerStack: Type.Integer({ minimum: 0, maximum: 50 }),
  cost: nullableNumber("Price of one, in the agency's currency."),
  massKg: Type.Optional(
    nullable(
      Type.Number({
        exclusiveMinimum: 0,
        maximum: 2000,
        description: 'Of one; null or left out where it is not known. No plan depends on it.',
      }),
    ),
  ),
});

export const RingCatalogue = exact({
  id: Slug,
  name: Type.String({ minLength: 1, maxLength: 200 }),
  unit: oneOf(lengthUnits, 'The unit its people read; values here are metres all the same.'),
  rings: Type.Array(Ring, { minItems: 1, maxItems: 200 }),
  indexPositions: Type.Integer({
    minimum: 0,
    maximum: 360,
    description: 'Equally spaced marks for the thick side; 0: any angle.',
  }),
  indexFrom: oneOf(['road', 'north']),
  maxRings: Type.Integer({ minimum: 1, maximum: 50 }),
  maxChimneyM: Type.Number({ exclusiveMinimum: 0, maximum: 5 }),
  joint: exact({
    baseM: Type.Number({ minimum: 0, maximum: 0.2 }),
    betweenM: Type.Number({ minimum: 0, maximum: 0.2 }),
    topM: Type.Number({ minimum: 0, maximum: 0.2 }),
  }),
});

export const RingCatalogueList = exact({ items: Type.Array(RingCatalogue) });

export type Ring = Static<typeof Ring>;
export type RingCatalogue = Static<typeof RingCatalogue>;
