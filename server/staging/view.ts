import type { StagedImport } from '#shared/staged-import.ts';
import type { AppContext } from '../context.ts';
import { type ImportRecord, listImportEvents } from '../store/staging/batches.ts';
import { filesOf } from './requests.ts';

/** An import as the API shows it. */
export async function toStagedImport(
  context: Pick<AppContext, 'database' | 'uploads'>,
  record: ImportRecord,
): Promise<StagedImport> {
  const [files, history] = await Promise.all([
    filesOf(context, record),
    listImportEvents(context.database.kysely, record),
  ]);
  return {
    id: record.importId,
    state: record.state,
    said: record.said,
    files,
    target: record.target,
    answers: record.answers,
    preview: record.preview,
    progress: record.progress,
    surfaceIds: record.surfaceIds,
    history,
    createdAt: record.createdAt.toISOString(),
    updatedAt: record.updatedAt.toISOString(),
    keptUntil: record.keptUntil?.toISOString() ?? null,
  };
}
