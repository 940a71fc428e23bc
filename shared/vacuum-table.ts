import Type, { type Static } from 'typebox';
import { exact, nullable, nullableBoolean, oneOf, Slug } from './schema.ts';

const seconds = Type.Number({ minimum: 0, maximum: 36_000 });
const pressure = Type.Number({
  exclusiveMinimum: 0,
  maximum: 25,
  description: 'inHg below the air outside.',
});
const depth = Type.Number({ minimum: 0, maximum: 500 });

export const VacuumRow = exact({
  diameter: nullable(Type.Number({ exclusiveMinimum: 0, maximum: 10_000 })),
  depth: nullable(
    exact({
      from: depth,
      to: nullable(depth),
      includesFrom: Type.Boolean(),
      includesTo: Type.Boolean(),
    }),
  ),
  seconds,
  secondsPerDepth: seconds,
});

/** An agency's vacuum test, as it is printed. Schema of core/seal/types.ts. */
export const VacuumTable = exact({
  id: Slug,
  name: Type.String({ minLength: 1, maxLength: 200 }),
  source: Type.String({ minLength: 1, maxLength: 500 }),
  scope: oneOf(['structure', 'chimney']),
  diameterUnit: oneOf(['in', 'mm']),
  depthUnit: oneOf(['ft', 'm']),
  drawInHg: pressure,
  startInHg: pressure,
  endInHg: pressure,
  settleSeconds: seconds,
  passes: oneOf(['atLeast', 'longer']),
  headAt: oneOf(['frame', 'topRing', 'seat']),
  frameInPlace: nullableBoolean('null: the table does not say.'),
  rows: Type.Array(VacuumRow, { minItems: 1, maxItems: 500 }),
});

/** A table as it is kept, with what whoever entered it should look at; none of it refuses the table. */
export const VacuumTableKept = Type.Object(
  {
    ...VacuumTable.properties,
    questions: Type.Array(exact({ code: Type.String(), text: Type.String() })),
  },
  { additionalProperties: false },
);

export const VacuumTableList = exact({ items: Type.Array(VacuumTable) });

export type VacuumTable = Static<typeof VacuumTable>;
