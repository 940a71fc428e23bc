import type { Kysely, Selectable } from 'kysely';
import { sql } from 'kysely';
import type { ImportAnswers, ImportPreview, ImportState, ImportTarget } from '#shared/staged-import.ts';
import { inChunks } from '../list.ts';
import type { ImportBatchesTable, ImportFilesTable, Tables } from '../tables.ts';

/** Names an import inside its agency. */
export interface ImportKey {
  agencyId: string;
  importId: string;
}

/** An import as the server works with it. */
export interface ImportRecord extends ImportKey {
  projectId: string;
  kind: Selectable<ImportBatchesTable>['kind'];
  fileName: string;
  state: ImportState;
  said: string;
  runId: string | null;
  interruptions: number;
  target: ImportTarget;
  answers: ImportAnswers;
  /** Answers given for a file like it, and the codes known then. */
  remembered: ImportAnswers | null;
  preview: ImportPreview | null;
  progress: { done: number; total: number };
  surfaceIds: string[];
  createdAt: Date;
  updatedAt: Date;
  keptUntil: Date | null;
  files: ImportFile[];
}

export interface ImportFile {
  number: number;
  name: string;
  sizeBytes: number;
  sha256: string | null;
}

export interface NewImport extends ImportKey {
  projectId: string;
  target: ImportTarget;
  files: { name: string; sizeBytes: number }[];
  keptUntil: Date;
  said: string;
}

export async function insertImport(db: Kysely<Tables>, given: NewImport): Promise<void> {
  const { agencyId: agency_id, importId: import_batch_id } = given;
  await db
    .insertInto('import_batches')
    .values({
      agency_id,
      import_batch_id,
      project_id: given.projectId,
      file_name: given.files[0].name,
      state: 'uploading',
      said: given.said,
      target: given.target,
      kept_until: given.keptUntil,
    })
    .execute();
  const files = given.files.map(({ name, sizeBytes }, index) => ({
    agency_id,
    import_batch_id,
    number: index + 1,
    name,
    size_bytes: sizeBytes,
  }));
  await db.insertInto('import_files').values(files).execute();
  await insertImportEvent(db, given, { state: 'uploading', text: given.said });
}

export async function findImport(
  db: Kysely<Tables>,
  { agencyId, importId }: ImportKey,
  { lock = false }: { lock?: boolean } = {},
): Promise<ImportRecord | null> {
  let query = db
    .selectFrom('import_batches')
    .selectAll()
    .where('agency_id', '=', agencyId)
    .where('import_batch_id', '=', importId);
  if (lock) query = query.forUpdate();
  const row = await query.executeTakeFirst();
  if (!row) return null;
  const files = await db
    .selectFrom('import_files')
    .selectAll()
    .where('agency_id', '=', agencyId)
    .where('import_batch_id', '=', importId)
    .orderBy('number')
    .execute();
  return toRecord(row, files);
}

/** Every import in one of these states, of all agencies, without its files. */
export async function listImportsIn(
  db: Kysely<Tables>,
  states: readonly ImportState[],
): Promise<ImportRecord[]> {
  const rows = await db
    .selectFrom('import_batches')
    .selectAll()
    .where('state', 'in', [...states])
    .orderBy('created_at')
    .execute();
  return rows.map((row) => toRecord(row, []));
}

export interface ImportChange {
  state: ImportState;
  said: string;
  runId?: string | null;
  target?: ImportTarget;
  answers?: ImportAnswers;
  remembered?: ImportAnswers | null;
  preview?: ImportPreview | null;
  keptUntil?: Date | null;
  interruptions?: number;
}

/** Moves an import on, with a line in its history; false where it is not in one of the states `from` any more. */
export async function moveImport(
  db: Kysely<Tables>,
  key: ImportKey,
  { from, runId }: { from: readonly ImportState[]; runId?: string },
  to: ImportChange,
): Promise<boolean> {
  let query = db
    .updateTable('import_batches')
    .set({
      state: to.state,
      said: to.said,
      updated_at: new Date(),
      progress_done: 0,
      progress_total: 0,
      ...(to.runId === undefined ? {} : { run_id: to.runId }),
      ...(to.target === undefined ? {} : { target: to.target }),
      ...(to.answers === undefined ? {} : { answers: to.answers }),
      ...(to.remembered === undefined ? {} : { remembered: to.remembered }),
      ...(to.preview === undefined ? {} : previewColumns(to.preview)),
      ...(to.keptUntil === undefined ? {} : { kept_until: to.keptUntil }),
      ...(to.interruptions === undefined ? {} : { interruptions: to.interruptions }),
    })
    .where('agency_id', '=', key.agencyId)
    .where('import_batch_id', '=', key.importId)
    .where('state', 'in', [...from]);
  if (runId !== undefined) query = query.where('run_id', '=', runId);
  const result = await query.executeTakeFirst();
  if (result.numUpdatedRows === 0n) return false;
  await insertImportEvent(db, key, { state: to.state, text: to.said });
  return true;
}

function previewColumns(preview: ImportPreview | null) {
  const { counts, kind } = preview ?? { counts: { new: 0, changed: 0, same: 0, refused: 0 }, kind: null };
  return {
    preview,
    kind,
    new_rows: counts.new,
    changed_rows: counts.changed,
    same_rows: counts.same,
    refused_rows: counts.refused,
  };
}

/** Notes how far the work in hand has come; false where it is to stop. */
export async function reportImport(
  db: Kysely<Tables>,
  { agencyId, importId }: ImportKey,
  runId: string,
  { done, total }: { done: number; total: number },
): Promise<boolean> {
  const result = await db
    .updateTable('import_batches')
    .set({ progress_done: done, progress_total: total })
    .where('agency_id', '=', agencyId)
    .where('import_batch_id', '=', importId)
    .where('run_id', '=', runId)
    .where('state', 'in', ['reading', 'storing'])
    .executeTakeFirst();
  return result.numUpdatedRows > 0n;
}

/** In the transaction that stored its rows: what was stored. false where the work was cancelled meanwhile. */
export async function finishStoring(
  db: Kysely<Tables>,
  key: ImportKey,
  runId: string,
  end: {
    said: string;
    counts: { new: number; changed: number; same: number };
    surfaceIds: string[];
    keptUntil: Date;
  },
): Promise<boolean> {
  const moved = await moveImport(
    db,
    key,
    { from: ['storing'], runId },
    { state: 'stored', said: end.said, runId: null, interruptions: 0, keptUntil: end.keptUntil },
  );
  if (!moved) return false;
  await db
    .updateTable('import_batches')
    .set({
      new_rows: end.counts.new,
      changed_rows: end.counts.changed,
      same_rows: end.counts.same,
      surface_ids: end.surfaceIds,
    })
    .where('agency_id', '=', key.agencyId)
    .where('import_batch_id', '=', key.importId)
    .execute();
  return true;
}

export async function setFileHash(
  db: Kysely<Tables>,
  { agencyId, importId }: ImportKey,
  number: number,
  sha256: string,
): Promise<void> {
  await db
    .updateTable('import_files')
    .set({ sha256 })
    .where('agency_id', '=', agencyId)
    .where('import_batch_id', '=', importId)
    .where('number', '=', number)
    .execute();
  if (number !== 1) return;
  await db
    .updateTable('import_batches')
    .set({ file_sha256: sha256 })
    .where('agency_id', '=', agencyId)
    .where('import_batch_id', '=', importId)
    .execute();
}

export async function insertImportEvent(
  db: Kysely<Tables>,
  { agencyId, importId }: ImportKey,
  { state, text }: { state: ImportState; text: string },
): Promise<void> {
  await db
    .insertInto('import_events')
    .values({ agency_id: agencyId, import_batch_id: importId, state, text })
    .execute();
}

const longestHistory = 200;

/** What happened, the latest last. */
export async function listImportEvents(
  db: Kysely<Tables>,
  { agencyId, importId }: ImportKey,
): Promise<{ at: string; state: ImportState; text: string }[]> {
  const rows = await db
    .selectFrom('import_events')
    .select(['state', 'text', 'created_at'])
    .where('agency_id', '=', agencyId)
    .where('import_batch_id', '=', importId)
    .orderBy('event_id', 'desc')
    .limit(longestHistory)
    .execute();
  return rows.reverse().map(({ state, text, created_at }) => ({ at: created_at.toISOString(), state, text }));
}

/** Imports whose bytes or lists are past the day they are kept until. */
export async function listOutdatedImports(db: Kysely<Tables>, now: Date): Promise<ImportRecord[]> {
  const rows = await db
    .selectFrom('import_batches')
    .selectAll()
    .where('kept_until', '<', now)
    .where(sql<boolean>`state not in ('reading', 'storing')`)
    .execute();
  return rows.map((row) => toRecord(row, []));
}

/** Those of the given identities that an import has. */
export async function findImportIds(db: Kysely<Tables>, ids: readonly string[]): Promise<Set<string>> {
  const found = new Set<string>();
  for (const chunk of inChunks(ids, 10_000)) {
    const rows = await db
      .selectFrom('import_batches')
      .select('import_batch_id')
      .where('import_batch_id', 'in', chunk)
      .execute();
    for (const row of rows) found.add(row.import_batch_id);
  }
  return found;
}

export async function clearKeptUntil(db: Kysely<Tables>, { agencyId, importId }: ImportKey): Promise<void> {
  await db
    .updateTable('import_batches')
    .set({ kept_until: null })
    .where('agency_id', '=', agencyId)
    .where('import_batch_id', '=', importId)
    .execute();
}

function toRecord(row: Selectable<ImportBatchesTable>, files: Selectable<ImportFilesTable>[]): ImportRecord {
  return {
    agencyId: row.agency_id,
    importId: row.import_batch_id,
    projectId: row.project_id,
    kind: row.kind,
    fileName: row.file_name,
    state: row.state,
    said: row.said,
    runId: row.run_id,
    interruptions: row.interruptions,
    target: row.target,
    answers: row.answers,
    remembered: row.remembered,
    preview: row.preview,
    progress: { done: row.progress_done, total: row.progress_total },
    surfaceIds: row.surface_ids,
    createdAt: row.created_at,
    updatedAt: row.updated_at,
    keptUntil: row.kept_until,
    files: files.map(({ number, name, size_bytes, sha256 }) => ({
      number,
      name,
      sizeBytes: size_bytes,
      sha256,
    })),
  };
}
