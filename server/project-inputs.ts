import type { Transaction } from 'kysely';
import type { Database } from './store/database.ts';
import { notifyProject } from './store/notices.ts';
import { touchProjectInputs } from './store/plan/changes.ts';
import type { ProjectHead } from './store/projects.ts';
import type { Tables } from './store/tables.ts';

/**
 * Changes something that the project's plan is made from, and says that the plan is stale; false changes nothing.
 * `cells`: where it changes it, as for touchProjectInputs.
 */
export async function changeProjectInputs(
  { kysely }: Database,
  { agencyId, id: projectId }: Pick<ProjectHead, 'agencyId' | 'id'>,
  change: (db: Transaction<Tables>) => Promise<boolean>,
  cells?: readonly number[],
): Promise<boolean> {
  return kysely.transaction().execute(async (db) => {
    if (!(await change(db))) return false;
    await touchProjectInputs(db, { agencyId, projectId }, cells);
    await notifyProject(db, agencyId, projectId);
    return true;
  });
}
