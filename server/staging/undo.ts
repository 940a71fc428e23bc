import { counted } from '#core/units/count.ts';
import type { UndoPreview, UndoReport } from '#shared/staged-import.ts';
import type { AppContext } from '../context.ts';
import { HttpProblem } from '../http-problem.ts';
import { notifyProject } from '../store/notices.ts';
import type { ImportRecord } from '../store/staging/batches.ts';
import { countUndo, runUndo } from '../store/staging/undo.ts';
import { notifyImport } from './notice.ts';
import { notNow } from './requests.ts';

type Context = Pick<AppContext, 'database'>;

/** What an undo would remove, restore and meet. */
export async function previewUndo({ database }: Context, record: ImportRecord): Promise<UndoPreview> {
  if (record.state !== 'stored') throw notNow(record, 'has nothing to undo');
  return countUndo(database, record);
}

/** Takes back what an import stored, in one transaction. Once undone, undoing it again changes nothing. */
export async function undoImport(
  { database }: Context,
  record: ImportRecord,
  changedSince: 'refuse' | 'skip',
): Promise<Omit<UndoReport, 'import'>> {
  const nothing = { removed: 0, restored: 0, skipped: [], skippedCount: 0 };
  if (record.state === 'undone') return nothing;
  if (record.state !== 'stored') throw notNow(record, 'has nothing to undo');
  const report = await runUndo(database, record, changedSince);
  if (report === 'undone') return nothing;
  if (report.refused) {
    const { skipped, skippedCount } = report;
    throw new HttpProblem(
      409,
      `${counted(skippedCount, 'row was', 'rows were')} changed since; nothing was undone.`,
      {
        errors: skipped.map(({ kind, id, text }) => ({ path: `/${kind}/${id}`, message: text })),
      },
    );
  }
  await notifyProject(database.kysely, record.agencyId, record.projectId);
  await notifyImport(database.kysely, record, { state: 'undone', done: 0, total: 0 });
  const { removed, restored, skipped, skippedCount } = report;
  return { removed, restored, skipped, skippedCount };
}
