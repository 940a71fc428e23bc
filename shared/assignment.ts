import Type, { type Static } from 'typebox';
import { CoverRanges } from './cover.ts';
import { nullableDate } from './rim-record.ts';
import { exact, nullable, nullableString, oneOf, StructureId } from './schema.ts';
import { ZoneGeometry } from './treatment.ts';

/** All that is given has to be true of a cover. */
export const SelectionFilter = exact({
  status: Type.Optional(
    Type.String({ maxLength: 200, description: 'One or more, separated by commas; `unplanned` for none.' }),
  ),
  kind: Type.Optional(Type.String({ maxLength: 100 })),
  owner: Type.Optional(Type.String({ maxLength: 100 })),
  street: Type.Optional(Type.String({ maxLength: 100 })),
  crew: Type.Optional(nullable(Type.String({ maxLength: 100 }))),
  night: Type.Optional(nullableDate),
  q: Type.Optional(Type.String({ maxLength: 100 })),
  ...CoverRanges,
  polygon: Type.Optional(ZoneGeometry),
});

/** Exactly one of them. */
export const Selection = exact({
  ids: Type.Optional(Type.Array(StructureId, { minItems: 1, maxItems: 5000 })),
  polygon: Type.Optional(ZoneGeometry),
  filter: Type.Optional(SelectionFilter),
});

const crew = nullable(Type.String({ minLength: 1, maxLength: 100 }));

/** What covers are given; what is left out stays. null takes it from them. */
export const AssignBody = exact({
  selection: Selection,
  /** `register`: structures that are no covers of the project yet become some. */
  from: Type.Optional(oneOf(['project', 'register'])),
  crew: Type.Optional(crew),
  night: Type.Optional(nullableDate),
  preview: Type.Optional(Type.Boolean({ description: 'true: counts only, nothing is stored.' })),
});

export const AssignResult = exact({
  matched: Type.Integer(),
  changed: Type.Integer({ description: 'Covers that get another crew or night.' }),
  joined: Type.Integer({ description: 'Structures that become covers of the project.' }),
  same: Type.Integer({ description: 'Covers that have it so already.' }),
  missing: Type.Array(Type.String(), { description: 'Ids that are not there, at most 100 of them.' }),
  missingCount: Type.Integer(),
  assignmentId: nullableString('For its undo; null where nothing was stored.'),
});

/** What an undo put back, and each row that it left because it was changed since. */
export const AssignUndo = exact({
  restored: Type.Integer(),
  removed: Type.Integer({ description: 'Covers that had become some by it.' }),
  refused: Type.Array(exact({ id: Type.String(), why: Type.String() }), { description: 'At most 500.' }),
  refusedCount: Type.Integer(),
});

export type SelectionFilter = Static<typeof SelectionFilter>;
export type Selection = Static<typeof Selection>;
export type AssignBody = Static<typeof AssignBody>;
export type AssignResult = Static<typeof AssignResult>;
export type AssignUndo = Static<typeof AssignUndo>;
