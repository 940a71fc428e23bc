import type { Kysely } from 'kysely';
import { counted } from '#core/units/count.ts';
import type { ChangedSince } from '#shared/staged-import.ts';
import type { Database } from '../database.ts';
import { touchProjectInputs } from '../plan/changes.ts';
import { lockProject } from '../plans.ts';
import type { Tables } from '../tables.ts';
import { inTransaction } from '../transaction.ts';
import { findImport, type ImportKey, moveImport } from './batches.ts';
import { undoLines } from './undoLines.ts';
import { undoShots } from './undoShots.ts';
import { undoStructures } from './undoStructures.ts';
import { undoDesigns, undoEmptySurfaces } from './undoSurfaces.ts';

/** An import that was stored. */
export interface StoredImport extends ImportKey {
  projectId: string;
  fileName: string;
}

/** What undoing one kind of rows does, or would do. */
export interface Undone {
  removed: number;
  restored: number;
  /** The first rows that somebody changed since; they are left as they are. */
  skipped: ChangedSince[];
  skippedCount: number;
}

/** Rows named of those changed since. */
export const mostNamed = 100;

export interface UndoReport extends Undone {
  /** Nothing was undone, since rows were changed. */
  refused: boolean;
}

/** Thrown to undo the undoing: where rows were changed since, or nobody asked for more than the counts. */
class Stop extends Error {}

/** What an undo would do. */
export async function countUndo(database: Database, record: StoredImport) {
  const { removed, restored, skipped, skippedCount } = (await run(database, record, 'count')) as UndoReport;
  return { removes: removed, restores: restored, changedSince: skipped, changedSinceCount: skippedCount };
}

/**
 * Takes back what an import stored, in one transaction: rows that it made go, rows that it changed have their earlier
 * values again. Rows changed since stay as they are, or stop it. `undone`: somebody undid it already.
 */
export async function runUndo(
  database: Database,
  record: StoredImport,
  changedSince: 'refuse' | 'skip',
): Promise<UndoReport | 'undone'> {
  return run(database, record, changedSince);
}

async function run(
  database: Database,
  record: StoredImport,
  mode: 'refuse' | 'skip' | 'count',
): Promise<UndoReport | 'undone'> {
  let report: UndoReport | 'undone' = 'undone';
  try {
    await inTransaction(database, async ({ db, sql }) => {
      await lockProject(db, record);
      const now = await findImport(db, record, { lock: true });
      if (now?.state !== 'stored') throw new Stop();
      const parts = [
        await undoStructures(db, record),
        await undoShots(sql, record),
        await undoLines(db, record),
        await undoDesigns(db, record),
        await undoEmptySurfaces(db, record),
      ];
      const all = total(parts);
      const refused = mode === 'refuse' && all.skippedCount > 0;
      report = { ...all, refused };
      if (refused || mode === 'count') throw new Stop();
      await finish(db, record, all);
    });
  } catch (error) {
    if (!(error instanceof Stop)) throw error;
  }
  return report;
}

function total(parts: readonly Undone[]): Undone {
  const sum = (count: (part: Undone) => number) => parts.reduce((all, part) => all + count(part), 0);
  return {
    removed: sum((part) => part.removed),
    restored: sum((part) => part.restored),
    skipped: parts.flatMap((part) => part.skipped).slice(0, mostNamed),
    skippedCount: sum((part) => part.skippedCount),
  };
}

async function finish(db: Kysely<Tables>, record: StoredImport, all: Undone): Promise<void> {
  const left =
    all.skippedCount > 0
      ? `; ${counted(all.skippedCount, 'row changed since was left as it is', 'rows changed since were left as they are')}`
      : '';
  const said = `Undone: ${counted(all.removed, 'row')} removed, ${all.restored} restored${left}`;
  await moveImport(db, record, { from: ['stored'] }, { state: 'undone', said, runId: null });
  await touchProjectInputs(db, record);
}
