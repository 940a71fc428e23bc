import Type, { type Static, type TSchema } from 'typebox';
import type { SealSizes } from '#core/seal/kit.ts';
import { exact, nullable, ownChoice } from './schema.ts';

/** Sizes of an agency's sealants, by which cartridges and rolls are counted. They enter no plan. Lengths in metres. */
const roll = (description: string) => Type.Number({ minimum: 0.5, maximum: 200, description });

const choices = {
  sealBeadM: Type.Number({ exclusiveMinimum: 0, maximum: 0.1, description: 'Diameter of a round bead.' }),
  sealCircleM: Type.Number({
    minimum: 0.1,
    maximum: 5,
    description: 'Diameter of the circle that beads and ropes run on: the middle of the bearing.',
  }),
  sealCartridgeMl: Type.Number({ minimum: 10, maximum: 5000, description: 'What is in one cartridge.' }),
  sealRollM: roll('Length of a roll of the usual rope.'),
  sealThickRollM: roll("Length of a roll of a vacuum test's thick rope."),
  sealMostSplices: Type.Union([Type.Integer({ minimum: 0, maximum: 20 }), Type.Literal('any')], {
    description: 'Joins inside one rope besides where its two ends meet.',
  }),
  sealWasteShare: Type.Number({
    minimum: 0,
    maximum: 1,
    description: 'On top for splice and waste; 0.05 is 5 %.',
  }),
};

type Choices = typeof choices;

export const sealantChoice = ownChoice(choices);

export const sealantNames = Object.keys(choices) as (keyof Choices)[];

/** The sizes in force; null: nobody said. */
export const sealantLimits = <From extends TSchema>(from: From) => {
  const limit = <Value extends TSchema>(value: Value) => exact({ value, from });
  return {
    sealBeadM: limit(Type.Number()),
    sealCircleM: limit(nullable(Type.Number())),
    sealCartridgeMl: limit(Type.Number()),
    sealRollM: limit(nullable(Type.Number())),
    sealThickRollM: limit(nullable(Type.Number())),
    sealMostSplices: limit(choices.sealMostSplices),
    sealWasteShare: limit(Type.Number()),
  };
};

export type SealantChoice = { [Name in keyof Choices]?: Static<Choices[Name]> | null };

type InForce = { [Name in keyof ReturnType<typeof sealantLimits>]: { value: unknown } } & {
  sealBeadM: { value: number };
  sealCircleM: { value: number | null };
  sealCartridgeMl: { value: number };
  sealRollM: { value: number | null };
  sealThickRollM: { value: number | null };
  sealMostSplices: { value: number | 'any' };
  sealWasteShare: { value: number };
};

/** The sizes in force as core takes them. */
export const sealSizes = (limits: InForce): SealSizes => ({
  bead: limits.sealBeadM.value,
  circle: limits.sealCircleM.value,
  cartridge: limits.sealCartridgeMl.value * 1e-6,
  roll: limits.sealRollM.value,
  thickRoll: limits.sealThickRollM.value,
  mostSplices: limits.sealMostSplices.value === 'any' ? null : limits.sealMostSplices.value,
  wasteShare: limits.sealWasteShare.value,
});
