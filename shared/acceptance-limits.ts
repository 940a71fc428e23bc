import Type, { type Static, type TSchema } from 'typebox';
import { exact, nullable, oneOf, ownChoice, Slug } from './schema.ts';

/** What rims are accepted by. Of these limits the rope of a vacuum test alone enters a plan. Lengths in metres. */

const size = (most: number, description: string) => Type.Number({ minimum: 0, maximum: most, description });
const asked = (description: string) =>
  Type.Union([size(0.1, description), Type.Literal('notAsked')], { description });

export const vacuumTests = ['none', 'all'] as const;

const choices = {
  acceptProudM: size(0.1, 'How far a rim may stand above its target; default: the tolerance.'),
  acceptLowM: size(0.1, 'How far it may lie below; default: the tolerance.'),
  drainageKinds: Type.Array(Type.String({ minLength: 1, maxLength: 100 }), {
    maxItems: 50,
    description: 'Kinds of structures that water has to find its way into.',
  }),
  drainageProudM: size(0.1, 'As acceptProudM, for those kinds.'),
  drainageLowM: size(0.1, 'As acceptLowM, for those kinds.'),
  straightedgeLengthM: Type.Number({ minimum: 0.3, maximum: 10 }),
  straightedgeAlongM: asked('Largest gap under it along the road.'),
  straightedgeAcrossM: asked('Largest gap under it across the road.'),
  vacuumTest: oneOf(
    vacuumTests,
    'Of which structures a passed test is asked; with `thickRopeM` plans count its rope.',
  ),
  vacuumTableId: Slug,
  thickRopeM: Type.Number({
    exclusiveMinimum: 0,
    maximum: 0.1,
    description:
      'Thickness, pressed together, of the rope at bottom and top that seals for a vacuum test: rings are planned with it.',
  }),
};

type Choices = typeof choices;

export const acceptanceChoice = ownChoice(choices);

export const acceptanceNames = Object.keys(choices) as (keyof Choices)[];

/** The limits in force; null: not asked, or not said. */
export const acceptanceLimits = <From extends TSchema>(from: From) => {
  const limit = <Value extends TSchema>(value: Value) => exact({ value, from });
  return {
    acceptProudM: limit(Type.Number()),
    acceptLowM: limit(Type.Number()),
    drainageKinds: limit(Type.Array(Type.String())),
    drainageProudM: limit(Type.Number()),
    drainageLowM: limit(Type.Number()),
    straightedgeLengthM: limit(Type.Number()),
    straightedgeAlongM: limit(nullable(Type.Number())),
    straightedgeAcrossM: limit(nullable(Type.Number())),
    vacuumTest: limit(oneOf(vacuumTests)),
    vacuumTableId: limit(nullable(Slug)),
    thickRopeM: limit(nullable(Type.Number())),
  };
};

export type AcceptanceChoice = { [Name in keyof Choices]?: Static<Choices[Name]> | null };
