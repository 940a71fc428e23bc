import type { Transaction } from 'kysely';
import type { Database } from './store/database.ts';
import { notifyProject } from './store/notices.ts';
import { type TouchedCells, touchProjectInputs } from './store/plan/changes.ts';
import type { ProjectHead } from './store/projects.ts';
import type { Tables } from './store/tables.ts';

/**
 * Changes something that the project's plan is made from, and says that the plan is stale. `change` gives false where it
 * changes nothing; where it changed it, as for touchProjectInputs; or true for anywhere.
 */
export async function changeProjectInputs(
  { kysely }: Database,
  { agencyId, id: projectId }: Pick<ProjectHead, 'agencyId' | 'id'>,
  change: (db: Transaction<Tables>) => Promise<boolean | { cells: TouchedCells }>,
): Promise<boolean> {
  return kysely.transaction().execute(async (db) => {
    const changed = await change(db);
    if (!changed) return false;
    await touchProjectInputs(db, { agencyId, projectId }, changed === true ? undefined : changed.cells);
    await notifyProject(db, agencyId, projectId);
    return true;
  });
}
