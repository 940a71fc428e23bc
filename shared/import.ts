import Type, { type Static } from 'typebox';
import { exact, Moment, nullable, oneOf } from './schema.ts';
import { importStates, stagedKinds } from './staged-import.ts';

/** One import in the list of a project's imports. */
export const ImportBatch = exact({
  id: Type.String(),
  /** null until the file was understood. */
  kind: nullable(oneOf(stagedKinds)),
  state: oneOf(importStates),
  said: Type.String({ description: 'The latest thing that happened, for people.' }),
  fileName: Type.String(),
  at: Moment,
  new: Type.Integer(),
  changed: Type.Integer(),
  same: Type.Integer(),
  refusedRows: Type.Integer(),
});

/** Query of GET .../imports. */
export const ImportListQuery = exact({
  states: Type.Optional(
    Type.String({ description: 'Comma-separated states; without it the stored ones and those undone.' }),
  ),
});

export const ImportBatchList = exact({ items: Type.Array(ImportBatch) });

export type ImportBatch = Static<typeof ImportBatch>;
