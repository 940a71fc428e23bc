import { type Kysely, type RawBuilder, sql } from 'kysely';
import type { Job } from '#shared/job.ts';
import type { ProjectHoldings } from '#shared/project.ts';
import type { ImportState } from '#shared/staged-import.ts';
import { findLatestJob, toJob } from './jobs.ts';
import type { Tables } from './tables.ts';
import { applyStructureChanges } from './tiles/changes.ts';

interface ProjectKey {
  agencyId: string;
  projectId: string;
}

/** What goes with a project. */
export async function findHoldings(
  db: Kysely<Tables>,
  { agencyId, projectId }: ProjectKey,
): Promise<ProjectHoldings> {
  const rowsOf = (table: string): RawBuilder<number> => sql`
    (select count(*)::integer from ${sql.table(table)} where agency_id = ${agencyId} and project_id = ${projectId})`;
  const { rows } = await sql<ProjectHoldings>`
    select ${rowsOf('project_covers')} as covers,
      (select count(night)::integer from project_covers
        where agency_id = ${agencyId} and project_id = ${projectId}) as "coversWithNight", ${rowsOf('surfaces')} as surfaces, ${rowsOf('shots')} as shots,
      ${rowsOf('lines')} as lines, ${rowsOf('treatment_zones')} as "treatmentZones", ${rowsOf('plans')} as plans,
      ${rowsOf('import_batches')} as imports, ${rowsOf('cover_assignments')} as assignments,
      ${rowsOf('field_records')} as "fieldRecords"`.execute(db);
  return rows[0];
}

/**
 * Why a project cannot be deleted, in words; null where nothing is against it. What was recorded at the hole is never
 * deleted, and a job would write into what is gone. The caller holds the project's lock.
 */
export async function findHindrance(
  db: Kysely<Tables>,
  { agencyId, projectId }: ProjectKey,
): Promise<string | null> {
  const ofProject = sql`agency_id = ${agencyId} and project_id = ${projectId}`;
  const { rows } = await sql<{ records: number; isPlanning: boolean; isImporting: boolean }>`
    select (select count(*)::integer from field_records where ${ofProject}) as records,
      exists (select from jobs where ${ofProject} and state in ('queued', 'running')) as "isPlanning",
      exists (select from import_batches where ${ofProject} and state in (${sql.join(atWork)})) as "isImporting"`.execute(
    db,
  );
  const [{ records, isPlanning, isImporting }] = rows;
  if (records > 0) {
    const [many, they] = records === 1 ? ['1 record', 'it stays'] : [`${records} records`, 'they stay'];
    return `The project has ${many} from the field: ${they} as evidence of what was built, and so does the project.`;
  }
  if (isPlanning) return 'A plan of the project is being made: wait for it, or stop it first.';
  if (isImporting) return 'A file of the project is being read or stored: wait for it, or stop it first.';
  return null;
}

/** States of imports that a job is at work on, or is about to be. */
const atWork = ['uploaded', 'reading', 'storing'] as const satisfies readonly ImportState[];

/**
 * Marks a project as being deleted, with the job that does it: from the commit on nothing about it changes any more. The
 * caller holds the project's lock.
 */
export async function beginDeletion(
  db: Kysely<Tables>,
  { agencyId, projectId }: ProjectKey,
  jobId: string,
): Promise<Job> {
  await db
    .updateTable('projects')
    .set({ deleting_since: new Date() })
    .where('agency_id', '=', agencyId)
    .where('project_id', '=', projectId)
    .execute();
  const row = await db
    .insertInto('jobs')
    .values({ agency_id: agencyId, project_id: projectId, job_id: jobId, kind: 'deletion', state: 'queued' })
    .returningAll()
    .executeTakeFirstOrThrow();
  return toJob(row);
}

/** The job that is deleting a project; null where none is. */
export const findDeletion = (db: Kysely<Tables>, key: ProjectKey): Promise<Job | null> =>
  findLatestJob(db, key, 'deletion');

/**
 * Removes what is left of a project; structures stay in the register. Of a large one its rows go before, part by part
 * (project-rows.ts). false where there is none.
 */
export async function deleteProject(
  db: Kysely<Tables>,
  agencyId: string,
  projectId: string,
): Promise<boolean> {
  const covers = await db
    .selectFrom('project_covers')
    .select('structure_id')
    .where('agency_id', '=', agencyId)
    .where('project_id', '=', projectId)
    .execute();
  // Tables of a project's that no reference leads from.
  for (const table of ['shots', 'plan_covers', 'plan_draft_covers'] as const) {
    await sql`delete from ${sql.table(table)} where agency_id = ${agencyId} and project_id = ${projectId}`.execute(
      db,
    );
  }
  const deleted = await db
    .deleteFrom('projects')
    .where('agency_id', '=', agencyId)
    .where('project_id', '=', projectId)
    .executeTakeFirst();
  await applyStructureChanges(
    db,
    agencyId,
    covers.map((row) => row.structure_id),
  );
  // Counts that came to nothing: nobody counts on in them.
  await sql`delete from tile_counts
    where agency_id = ${agencyId} and project_id = ${projectId} and covers = 0`.execute(db);
  return deleted.numDeletedRows > 0n;
}
