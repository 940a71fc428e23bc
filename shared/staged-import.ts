import Type, { type Static } from 'typebox';
import {
  EpsgCode,
  exact,
  Moment,
  nullable,
  nullableNumber,
  nullableOneOf,
  nullableString,
  oneOf,
} from './schema.ts';
import { shotRoles } from './surface.ts';

/**
 * An import from its first byte to its undoing. A file is uploaded in parts, read and shown, answered, and only then
 * stored, all of it in one transaction; what it stored can be taken back.
 *
 * `uploading` bytes are missing; `uploaded` all bytes are here and nothing reads them; `reading` it is being read;
 * `ready` it is shown and waits for answers or for its commit; `storing`; `stored`; `undone` taken back; `failed` it
 * cannot be read, nothing was stored; `discarded` thrown away before it was stored.
 */
export const importStates = [
  'uploading',
  'uploaded',
  'reading',
  'ready',
  'storing',
  'stored',
  'undone',
  'failed',
  'discarded',
] as const;

/** `design` a triangulated surface, `lines` centre lines, crown and gutter lines and others, `grid` elevations. */
export const stagedKinds = ['structures', 'shots', 'design', 'lines', 'grid'] as const;

export const surfaceStages = ['existing', 'milled', 'lift', 'finished'] as const;

const fileName = Type.String({
  minLength: 1,
  maxLength: 255,
  description: 'As people call it; folders are cut off.',
});
const lengthUnit = oneOf(['m', 'mm', 'cm', 'in', 'ft', 'us-ft']);
/** Longest heading, code or answer. */
const word = Type.String({ minLength: 1, maxLength: 200 });

/** Where records of the file go; asked for in words of the project, not of the file. */
export const ImportTarget = exact({
  /** What of the file is to be stored, where it holds several kinds. */
  kind: Type.Optional(oneOf(stagedKinds)),
  /** Surface that shots, faces or lines are laid on; named like the file where absent. */
  surfaceName: Type.Optional(Type.String({ minLength: 1, maxLength: 100 })),
  stage: Type.Optional(oneOf(surfaceStages, 'Which surface it was when it was shot.')),
  lift: Type.Optional(
    Type.Integer({
      minimum: 1,
      maximum: 10,
      description: 'Which lift it is the top of, for the stage `lift`.',
    }),
  ),
  epoch: Type.Optional(
    Type.String({ pattern: '^[0-9]{4}-[0-9]{2}-[0-9]{2}$', description: 'Day it was measured or issued.' }),
  ),
  verticalDatum: Type.Optional(Type.String({ minLength: 1, maxLength: 100 })),
  method: Type.Optional(
    Type.String({ minLength: 1, maxLength: 100, description: 'total station, RTK, level, ...' }),
  ),
});

/** Body of POST .../imports. `files` are several for a loose shapefile only. */
export const ImportCreate = exact({
  files: Type.Array(exact({ name: fileName, sizeBytes: Type.Integer({ minimum: 1 }) }), {
    minItems: 1,
    maxItems: 10,
  }),
  target: Type.Optional(ImportTarget),
});

/** How far a file has come. Its parts are sent by PATCH .../files/{number} with the header `upload-offset`. */
export const UploadFile = exact({
  number: Type.Integer({ description: 'From 1, in the order they were named.' }),
  name: Type.String(),
  sizeBytes: Type.Integer(),
  receivedBytes: Type.Integer(),
  sha256: nullableString('null until all bytes are here.'),
});

/** What a user says of the file; each PATCH adds to what was said before, and null takes an answer back. */
export const ImportAnswers = exact({
  /** Identity of a question -> identity of the choice, e.g. `axisOrder` -> `swapped`, `crs` -> `EPSG:2264`. */
  questions: Type.Optional(Type.Record(Type.String(), nullable(word))),
  /** Heading -> meaning, or null for a column that is not to be read. */
  meanings: Type.Optional(Type.Record(Type.String(), nullable(word))),
  /** Heading -> unit. */
  columnUnits: Type.Optional(Type.Record(Type.String(), nullable(lengthUnit))),
  /** Code -> what it is a shot on. `leaveOut`: shots of this code are not stored. */
  codes: Type.Optional(Type.Record(Type.String(), nullable(oneOf([...shotRoles, 'leaveOut'])))),
  target: Type.Optional(ImportTarget),
});

const Value = Type.Unsafe<string | number | boolean | null>({});

export const ImportProblem = exact({
  row: nullable(Type.Integer()),
  column: nullableString(),
  value: nullableString(),
  code: Type.String({ description: 'Stable word for programs.' }),
  message: Type.String(),
});

export const ImportChoice = exact({
  id: Type.String(),
  text: Type.String(),
  /** Where the middle of the data would land, degrees. */
  lands: nullable(exact({ lon: Type.Number(), lat: Type.Number() })),
  inside: Type.Unsafe<boolean | null>({
    type: ['boolean', 'null'],
    description:
      'Whether it lands inside the area of the project or the system; null where that is not known.',
  }),
  example: Type.Record(Type.String(), Value),
});

/** Something that the file does not settle. While one is open the import cannot be stored. */
export const ImportQuestion = exact({
  id: Type.String({ description: 'Key of the answer.' }),
  code: Type.String(),
  about: nullableString('Column or part that it is about.'),
  text: Type.String(),
  choices: Type.Array(ImportChoice),
  likely: nullableString('The choice that the preview was read with; null where nothing was assumed.'),
  answer: nullableString(),
  isOpen: Type.Boolean(),
});

export const ImportColumn = exact({
  name: Type.String(),
  meaning: nullableString('null: not read.'),
  unit: nullableOneOf(['m', 'mm', 'cm', 'in', 'ft', 'us-ft', 'degree']),
  from: Type.String({ description: 'file, crs, given, remembered, heading, guess or unknown' }),
});

const Position = Type.Array(Type.Number(), { minItems: 2, maxItems: 2 });

/** A part of the positions as one reading of the file would place them, for a small map. */
export const ImportReading = exact({
  question: nullableString('null: the reading that the preview is made with.'),
  choice: nullableString(),
  text: Type.String(),
  inside: Type.Unsafe<boolean | null>({ type: ['boolean', 'null'] }),
  /** A GeoJSON MultiPoint, longitude and latitude. */
  places: exact({ type: oneOf(['MultiPoint']), coordinates: Type.Array(Position) }),
});

export const ImportCounts = exact({
  read: Type.Integer({ description: 'Records read, the refused ones with them.' }),
  new: Type.Integer(),
  changed: Type.Integer(),
  same: Type.Integer(),
  refused: Type.Integer({ description: 'Records left out; each has its problems.' }),
});

export const ImportCode = exact({
  code: Type.String(),
  count: Type.Integer(),
  role: oneOf([...shotRoles, 'leaveOut']),
  from: oneOf(['given', 'remembered', 'usual', 'unknown']),
});

/** The surface that shots, faces or cells would be laid on. */
export const ImportSurface = exact({
  id: Type.String(),
  name: Type.String(),
  isNew: Type.Boolean(),
  stage: oneOf(surfaceStages),
  lift: nullable(Type.Integer()),
  epoch: nullableString(),
  verticalDatum: nullableString(),
  elevationUnit: nullableOneOf(['m', 'ft', 'us-ft']),
  method: nullableString(),
  assumed: Type.Array(oneOf(['name', 'stage', 'lift', 'epoch', 'verticalDatum', 'elevationUnit']), {
    description: 'What nobody said and neither the file nor the project states; it can be said in `target`.',
  }),
});

/** What the file was understood as and what storing it would do. */
export const ImportPreview = exact({
  format: Type.String(),
  kind: oneOf(stagedKinds),
  /** false: this kind is shown, but cannot be stored yet; `storableWhy` says so in words. */
  storable: Type.Boolean(),
  storableWhy: nullableString(),
  name: Type.String(),
  counts: ImportCounts,
  /** null where nothing is laid on a surface. */
  surface: Type.Optional(nullable(ImportSurface)),
  /** In the file's own units. */
  bounds: nullable(
    exact({
      minEasting: Type.Number(),
      minNorthing: Type.Number(),
      maxEasting: Type.Number(),
      maxNorthing: Type.Number(),
      minElevation: nullableNumber(),
      maxElevation: nullableNumber(),
    }),
  ),
  crs: nullable(
    exact({
      code: nullable(EpsgCode),
      name: nullableString(),
      from: Type.String(),
      text: nullableString('As the file writes it.'),
    }),
  ),
  units: exact({
    horizontal: exact({ unit: nullableString(), from: Type.String() }),
    vertical: exact({ unit: nullableString(), from: Type.String() }),
  }),
  columns: Type.Array(ImportColumn),
  codes: Type.Array(ImportCode),
  /** The first records of the reading shown. */
  sample: Type.Array(Type.Record(Type.String(), Type.Unknown())),
  parts: Type.Array(exact({ kind: oneOf(stagedKinds), name: Type.String(), count: Type.Integer() })),
  /** The first problems; all refused rows are in refused.csv. */
  problems: Type.Array(ImportProblem),
  problemCount: Type.Integer(),
  questions: Type.Array(ImportQuestion),
  readings: Type.Array(ImportReading),
  /** Where column meanings, units and codes came from when they were remembered; null where nothing was. */
  remembered: nullable(exact({ fileName: Type.String(), at: Moment })),
  warnings: Type.Array(Type.String()),
});

/** What has happened to an import, the latest last. */
export const ImportEvent = exact({ at: Moment, state: oneOf(importStates), text: Type.String() });

export const StagedImport = exact({
  id: Type.String(),
  state: oneOf(importStates),
  /** The latest thing that happened, for people. */
  said: Type.String(),
  files: Type.Array(UploadFile),
  target: ImportTarget,
  answers: ImportAnswers,
  /** null until it has been read. */
  preview: nullable(ImportPreview),
  progress: exact({
    done: Type.Integer({ description: 'Bytes or records, whatever the state counts.' }),
    total: Type.Integer({ description: '0 where it is not known.' }),
  }),
  /** Surfaces that it laid. */
  surfaceIds: Type.Array(Type.String()),
  history: Type.Array(ImportEvent),
  createdAt: Moment,
  updatedAt: Moment,
  /** When bytes that were never stored are thrown away; null where there are none left. */
  keptUntil: nullable(Moment),
});

/** Data of a `progress` event of .../imports/{import}/events. The stream ends when the import is at rest. */
export const ImportProgress = exact({
  importId: Type.String(),
  state: oneOf(importStates),
  done: Type.Integer(),
  total: Type.Integer(),
});

/** A row of the import that somebody changed after it was stored. */
export const ChangedSince = exact({
  kind: oneOf(['structure', 'shot', 'line', 'surface']),
  id: Type.String(),
  text: Type.String({ description: 'What was changed, when.' }),
});

/** Body of POST .../undo. `refuse`: undo nothing when a row was changed since; `skip`: leave those rows as they are. */
export const UndoRequest = exact({ changedSince: oneOf(['refuse', 'skip']) });

export const UndoReport = exact({
  import: StagedImport,
  removed: Type.Integer({ description: 'Rows that the import had made.' }),
  restored: Type.Integer({ description: 'Rows that have their earlier values again.' }),
  skipped: Type.Array(ChangedSince),
  skippedCount: Type.Integer(),
});

/** GET .../undo: what an undo would meet. */
export const UndoPreview = exact({
  removes: Type.Integer(),
  restores: Type.Integer(),
  changedSince: Type.Array(ChangedSince),
  changedSinceCount: Type.Integer(),
});

export const shotUses = [...shotRoles, 'leaveOut'] as const;

export type ShotUse = (typeof shotUses)[number];
export type ImportState = (typeof importStates)[number];
export type SurfaceStage = (typeof surfaceStages)[number];
export type StagedKind = (typeof stagedKinds)[number];
export type ImportSurface = Static<typeof ImportSurface>;
export type ImportTarget = Static<typeof ImportTarget>;
export type ImportCreate = Static<typeof ImportCreate>;
export type UploadFile = Static<typeof UploadFile>;
export type ImportAnswers = Static<typeof ImportAnswers>;
export type ImportQuestion = Static<typeof ImportQuestion>;
export type ImportReading = Static<typeof ImportReading>;
export type ImportCounts = Static<typeof ImportCounts>;
export type ImportPreview = Static<typeof ImportPreview>;
export type ImportCode = Static<typeof ImportCode>;
export type ImportEvent = Static<typeof ImportEvent>;
export type StagedImport = Static<typeof StagedImport>;
export type ImportProgress = Static<typeof ImportProgress>;
export type ChangedSince = Static<typeof ChangedSince>;
export type UndoReport = Static<typeof UndoReport>;
export type UndoPreview = Static<typeof UndoPreview>;
