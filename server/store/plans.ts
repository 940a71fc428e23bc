import { type Kysely, sql } from 'kysely';
import type { PlanVersion } from '#shared/cover.ts';
import { databaseErrorCode } from './database.ts';
import { keeper } from './kept.ts';
import { groupBy } from './list.ts';
import type { SigmaChoices } from './plan/tables.ts';
import type { ProjectHead } from './projects.ts';
import type { Tables } from './tables.ts';

interface ProjectKey {
  agencyId: string;
  projectId: string;
}

export interface PlanInForce {
  revision: number;
  commonHash: string;
  shotSigmas: SigmaChoices;
}

/** The plan in force; null before the first. */
export async function findPlanInForce(
  db: Kysely<Tables>,
  { agencyId, projectId }: ProjectKey,
): Promise<PlanInForce | null> {
  const row = await db
    .selectFrom('plans')
    .select(['revision', 'common_hash', 'shot_sigmas'])
    .where('agency_id', '=', agencyId)
    .where('project_id', '=', projectId)
    .orderBy('revision', 'desc')
    .limit(1)
    .executeTakeFirst();
  return row ? { revision: row.revision, commonHash: row.common_hash, shotSigmas: row.shot_sigmas } : null;
}

/** For which inputs a project is planned, and the revision that its next plan gets. */
export async function findPlanState(
  db: Kysely<Tables>,
  { agencyId, projectId }: ProjectKey,
): Promise<{ nextRevision: number; plannedInputRevision: number }> {
  const row = await db
    .selectFrom('projects')
    .select(['plan_revision', 'planned_input_revision'])
    .where('agency_id', '=', agencyId)
    .where('project_id', '=', projectId)
    .executeTakeFirstOrThrow();
  // A plan that was interrupted while it came into force has given its revision to covers, and is not the project's.
  const latest = await findPlanInForce(db, { agencyId, projectId });
  return {
    nextRevision: Math.max(row.plan_revision, latest?.revision ?? 0) + 1,
    plannedInputRevision: row.planned_input_revision,
  };
}

/**
 * Locks the project until the transaction ends, so that plans of one project come one after the other.
 * @throws ProjectBeingDeleted
 */
export async function lockProject(
  db: Kysely<Tables>,
  { agencyId, projectId }: ProjectKey,
): Promise<{ planRevision: number; plannedInputRevision: number } | null> {
  const row = await db
    .selectFrom('projects')
    .select(['plan_revision', 'planned_input_revision', 'deleting_since'])
    .where('agency_id', '=', agencyId)
    .where('project_id', '=', projectId)
    .forUpdate()
    .executeTakeFirst();
  if (row?.deleting_since) throw new ProjectBeingDeleted(projectId);
  return row ? { planRevision: row.plan_revision, plannedInputRevision: row.planned_input_revision } : null;
}

/** Keeps whoever locks the project waiting, but nobody who does as much; false where it is gone. */
export async function shareProject(
  db: Kysely<Tables>,
  { agencyId, projectId }: ProjectKey,
): Promise<boolean> {
  const row = await db
    .selectFrom('projects')
    .select('project_id')
    .where('agency_id', '=', agencyId)
    .where('project_id', '=', projectId)
    .forShare()
    .executeTakeFirst();
  return row !== undefined;
}

/** Nothing about the project changes any more. */
export class ProjectBeingDeleted extends Error {
  constructor(projectId: string) {
    super(`The project "${projectId}" is being deleted.`);
  }
}

/** Whether a change came too late, by the trigger of the table or by the lock. */
export const isOfDeletedProject = (error: unknown): boolean =>
  error instanceof ProjectBeingDeleted || databaseErrorCode(error) === 'RPDEL';

const surfaceCounts = keeper<Record<string, number>>();

/**
 * How many covers have their finished grade from each surface in the plan in force: counted once for each plan and each
 * change to what it is made from. `project`: read before.
 */
export async function findSurfaceCounts(
  db: Kysely<Tables>,
  { agencyId, id, createdAt, planRevision, inputRevision }: ProjectHead,
): Promise<Record<string, number>> {
  const asked = {
    name: JSON.stringify([agencyId, id]),
    token: `${createdAt} ${planRevision} ${inputRevision}`,
  };
  return surfaceCounts(db, asked, () => countBySurface(db, { agencyId, projectId: id }));
}

async function countBySurface(
  db: Kysely<Tables>,
  { agencyId, projectId }: ProjectKey,
): Promise<Record<string, number>> {
  const rows = await db
    .selectFrom('project_covers')
    .select((eb) => ['surface_ids', eb.fn.countAll<number>().as('count')])
    .where('agency_id', '=', agencyId)
    .where('project_id', '=', projectId)
    .where('surface_ids', 'is not', null)
    .groupBy('surface_ids')
    .execute();
  const counts: Record<string, number> = {};
  for (const { surface_ids, count } of rows)
    for (const id of surface_ids ?? []) counts[id] = (counts[id] ?? 0) + count;
  return counts;
}

/** Notes that the plan in force stands for the inputs of `inputRevision` too. */
export async function markPlanned(
  db: Kysely<Tables>,
  { agencyId, projectId }: ProjectKey,
  inputRevision: number,
): Promise<void> {
  await db
    .updateTable('projects')
    .set({ planned_input_revision: inputRevision })
    .where('agency_id', '=', agencyId)
    .where('project_id', '=', projectId)
    .execute();
}

const mostVersions = 50;

/** The plans that covers have had, latest first, by cover. */
export async function findPlanVersions(
  db: Kysely<Tables>,
  { agencyId, projectId }: ProjectKey,
  structureIds: readonly string[],
): Promise<Map<string, PlanVersion[]>> {
  const { rows } = await sql<PlanVersion & { structureId: string; createdAt: Date }>`
    select version.structure_id as "structureId", version.revision, plan.created_at as "createdAt",
      version.outcome ->> 'status' as status, (version.outcome ->> 'netBuildup')::float8 as "netBuildupM",
      (version.outcome #>> '{residual,worst}')::float8 as "worstM",
      (version.outcome #>> '{finished,sigmaRim}')::float8 as "sigmaRimM"
    from (
      select *, row_number() over (partition by structure_id order by revision desc) as number from plan_covers
      where agency_id = ${agencyId} and project_id = ${projectId}
        and structure_id = any(${structureIds as string[]}::text[])
    ) as version
    join plans as plan on plan.agency_id = version.agency_id and plan.project_id = version.project_id
      and plan.revision = version.revision
    where version.number <= ${mostVersions}
    order by version.structure_id, version.revision desc`.execute(db);
  return groupBy(
    rows.map(({ createdAt, ...row }) => ({ ...row, at: createdAt.toISOString() })),
    'structureId',
  );
}

/** When plans were made, by revision. */
export async function findPlanTimes(
  db: Kysely<Tables>,
  { agencyId, projectId }: ProjectKey,
  revisions: readonly number[],
): Promise<Map<number, Date>> {
  if (revisions.length === 0) return new Map();
  const rows = await db
    .selectFrom('plans')
    .select(['revision', 'created_at'])
    .where('agency_id', '=', agencyId)
    .where('project_id', '=', projectId)
    .where('revision', 'in', [...new Set(revisions)])
    .execute();
  return new Map(rows.map((row) => [row.revision, row.created_at]));
}
