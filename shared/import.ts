import Type, { type Static } from 'typebox';
import { exact, Moment, nullable, nullableString, oneOf, Slug } from './schema.ts';
import { importStates, stagedKinds } from './staged-import.ts';

export const importKinds = ['structures', 'shots'] as const;

/** One row that is left out, or would be. `row` counts from 1 at the first line of the file. */
export const RefusedRow = exact({
  row: nullable(Type.Integer()),
  column: nullableString(),
  value: nullableString(),
  rule: Type.String({ description: 'Stable word for programs.' }),
  message: Type.String(),
});

/** What a file was read as. `batchId` is null where nothing was stored: a preview, or a file that changes nothing. */
export const ImportReport = exact({
  batchId: nullable(Type.String()),
  kind: oneOf(importKinds),
  fileName: Type.String(),
  mode: oneOf(['preview', 'store']),
  /** Surface that the shots go to. */
  surfaceId: nullable(Slug),
  read: Type.Integer({ description: 'Rows read, without headings and blank lines.' }),
  new: Type.Integer(),
  changed: Type.Integer(),
  same: Type.Integer(),
  /** Rows left out; `refused` may name the same row more than once. */
  refusedRows: Type.Integer(),
  refused: Type.Array(RefusedRow),
  unknownCodes: Type.Array(exact({ code: Type.String(), count: Type.Integer() })),
  warnings: Type.Array(Type.String()),
});

/** Query of POST .../imports/structures. The file is the one part of the multipart body. */
export const StructureImportQuery = exact({ mode: oneOf(['preview', 'store']) });

/** Query of POST .../imports/shots. `surface` defaults to the file's name. */
export const ShotImportQuery = exact({
  mode: oneOf(['preview', 'store']),
  surface: Type.Optional(Type.String({ minLength: 1, maxLength: 100 })),
  stage: Type.Optional(oneOf(['existing', 'milled', 'lift', 'finished'])),
  method: Type.Optional(Type.String({ minLength: 1, maxLength: 100 })),
});

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

export type ImportReport = Static<typeof ImportReport>;
export type RefusedRow = Static<typeof RefusedRow>;
export type ImportBatch = Static<typeof ImportBatch>;
