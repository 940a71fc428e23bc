import Type, { type Static } from 'typebox';
import type { AnyKept } from '#core/field/facts.ts';
import { FieldRecord } from './field-record.ts';
import { exact, Moment, nullable, nullableNumber, nullableOneOf, oneOf } from './schema.ts';
import { fieldStatuses } from './status.ts';

export const verdicts = ['accept', 'offGrade', 'notYet'] as const;

/** What measurements and records say of a cover, with the limits that they are held to. */
export const Acceptance = exact({
  structureId: Type.String(),
  fieldStatus: nullableOneOf(fieldStatuses),
  verdict: oneOf(
    verdicts,
    'What the measurements come to; whether it is accepted is the word of a named person.',
  ),
  /** What decides comes first. */
  reasons: Type.Array(
    exact({ code: Type.String(), text: Type.String({ description: "In the project's units." }) }),
  ),
  limits: Type.Array(exact({ name: Type.String(), value: Type.String(), whose: Type.String() })),
  proudM: Type.Number({ description: 'How far this rim may stand out of its target.' }),
  lowM: Type.Number(),
  /** Of the rim as it stands now; null where it was not checked since the last work on it. */
  rim: nullable(FieldRecord),
  straightedge: nullable(FieldRecord),
  /** Every test that stands, in order. */
  vacuum: Type.Array(FieldRecord),
  vacuumTable: nullable(exact({ id: Type.String(), name: Type.String(), source: Type.String() })),
  worst: nullable(
    exact({
      errorM: Type.Number(),
      hour: nullableNumber('0 to 12, looking up-station; null: no road direction.'),
    }),
  ),
  /** Records that contradict each other. */
  conflicts: Type.Array(Type.Array(FieldRecord)),
  plates: Type.Array(exact({ plate: Type.String(), since: Moment, by: Type.String() })),
  cures: Type.Array(exact({ what: oneOf(['collar', 'mortar']), releaseAt: nullable(Moment) })),
  /** The word that holds, if anybody said it. */
  accepted: nullable(FieldRecord),
  warnings: Type.Array(Type.String()),
  lastSeq: Type.Integer({
    description: 'Of its latest record; 0 for none. What a record made on this is `seen`.',
  }),
});

type Kept = 'rim' | 'straightedge' | 'vacuum' | 'conflicts' | 'accepted';
export type Acceptance = Omit<Static<typeof Acceptance>, Kept> & {
  rim: AnyKept | null;
  straightedge: AnyKept | null;
  vacuum: AnyKept[];
  conflicts: AnyKept[][];
  accepted: AnyKept | null;
};
export type AcceptanceReason = Acceptance['reasons'][number];
