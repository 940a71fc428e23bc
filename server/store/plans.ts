import { type Kysely, sql } from 'kysely';
import type { CoverPlan } from '#core/plan/types.ts';
import type { PlanVersion } from '#shared/cover.ts';
import { inChunks } from './list.ts';
import type { Tables } from './tables.ts';
import { applyCoverChanges, type ChangedCover } from './tiles/changes.ts';

interface ProjectKey {
  agencyId: string;
  projectId: string;
}

/** Inputs' hash and revision of the plan in force; null before the first. */
export async function findPlanInForce(
  db: Kysely<Tables>,
  { agencyId, projectId }: ProjectKey,
): Promise<{ revision: number; inputsHash: string } | null> {
  const row = await db
    .selectFrom('plans')
    .select(['revision', 'inputs_hash'])
    .where('agency_id', '=', agencyId)
    .where('project_id', '=', projectId)
    .orderBy('revision', 'desc')
    .limit(1)
    .executeTakeFirst();
  return row ? { revision: row.revision, inputsHash: row.inputs_hash } : null;
}

/** Locks the project until the transaction ends, so that plans of one project come one after the other. */
export async function lockProject(
  db: Kysely<Tables>,
  { agencyId, projectId }: ProjectKey,
): Promise<{ inputRevision: number; planRevision: number } | null> {
  const row = await db
    .selectFrom('projects')
    .select(['input_revision', 'plan_revision'])
    .where('agency_id', '=', agencyId)
    .where('project_id', '=', projectId)
    .forUpdate()
    .executeTakeFirst();
  return row ? { inputRevision: row.input_revision, planRevision: row.plan_revision } : null;
}

export interface NewPlan {
  revision: number;
  inputsHash: string;
  inputRevision: number;
  jobId: string;
  outcomes: { structureId: string; outcome: CoverPlan }[];
}

/** Puts a plan in force. The caller holds the project's lock and the transaction. */
export async function insertPlan(db: Kysely<Tables>, key: ProjectKey, plan: NewPlan): Promise<void> {
  const { agencyId, projectId } = key;
  const statuses = countOf(plan.outcomes.map(({ outcome }) => outcome.status));
  const surfaces = countOf(plan.outcomes.flatMap(({ outcome }) => outcome.source?.surfaces ?? []));
  await db
    .insertInto('plans')
    .values({
      agency_id: agencyId,
      project_id: projectId,
      revision: plan.revision,
      inputs_hash: plan.inputsHash,
      job_id: plan.jobId,
      status_counts: statuses,
      surface_counts: surfaces,
    })
    .execute();
  for (const chunk of inChunks(plan.outcomes)) await writeOutcomes(db, key, plan.revision, chunk);
  await markPlanned(db, key, plan);
  await applyCoverChanges(
    db,
    key,
    sql<ChangedCover>`
      select structure_id, status, (outcome ->> 'netBuildup')::double precision as net_buildup_m from project_covers
      where agency_id = ${agencyId} and project_id = ${projectId} and plan_revision = ${plan.revision}`,
  );
}

function countOf(words: readonly string[]): Record<string, number> {
  const counts: Record<string, number> = {};
  for (const word of words) counts[word] = (counts[word] ?? 0) + 1;
  return counts;
}

/** How many covers have their finished grade from each surface in the plan in force. */
export async function findSurfaceCounts(
  db: Kysely<Tables>,
  { agencyId, projectId }: ProjectKey,
): Promise<Record<string, number>> {
  const row = await db
    .selectFrom('plans')
    .select('surface_counts')
    .where('agency_id', '=', agencyId)
    .where('project_id', '=', projectId)
    .orderBy('revision', 'desc')
    .limit(1)
    .executeTakeFirst();
  return row?.surface_counts ?? {};
}

/** Notes that the plan of `revision` stands for the inputs of `inputRevision`. */
export async function markPlanned(
  db: Kysely<Tables>,
  { agencyId, projectId }: ProjectKey,
  { revision, inputRevision }: { revision: number; inputRevision: number },
): Promise<void> {
  await db
    .updateTable('projects')
    .set({ plan_revision: revision, planned_input_revision: inputRevision })
    .where('agency_id', '=', agencyId)
    .where('project_id', '=', projectId)
    .execute();
}

/** Only a cover whose outcome changed gets a new version; the others keep the one that they have. */
async function writeOutcomes(
  db: Kysely<Tables>,
  { agencyId, projectId }: ProjectKey,
  revision: number,
  outcomes: NewPlan['outcomes'],
): Promise<void> {
  const rows = outcomes.map(({ structureId, outcome }) => ({ structureId, outcome }));
  await sql`
    with given as (
      select item ->> 'structureId' as structure_id, item -> 'outcome' as outcome
      from jsonb_array_elements(${rows}::jsonb) as item
    ), changed as (
      update project_covers as cover
      set outcome = given.outcome, status = given.outcome ->> 'status', plan_revision = ${revision}
      from given
      where cover.agency_id = ${agencyId} and cover.project_id = ${projectId}
        and cover.structure_id = given.structure_id
        and cover.outcome is distinct from given.outcome
      returning cover.structure_id, cover.status, cover.outcome
    )
    insert into plan_covers (agency_id, project_id, structure_id, revision, status, outcome)
    select ${agencyId}, ${projectId}, structure_id, ${revision}, status, outcome from changed
  `.execute(db);
}

const mostVersions = 50;

/** The plans that a cover has had, latest first. */
export async function listPlanVersions(
  db: Kysely<Tables>,
  { agencyId, projectId }: ProjectKey,
  structureId: string,
): Promise<PlanVersion[]> {
  const rows = await db
    .selectFrom('plan_covers as version')
    .innerJoin('plans as plan', (join) =>
      join
        .onRef('plan.agency_id', '=', 'version.agency_id')
        .onRef('plan.project_id', '=', 'version.project_id')
        .onRef('plan.revision', '=', 'version.revision'),
    )
    .select(['version.revision', 'version.outcome', 'plan.created_at'])
    .where('version.agency_id', '=', agencyId)
    .where('version.project_id', '=', projectId)
    .where('version.structure_id', '=', structureId)
    .orderBy('version.revision', 'desc')
    .limit(mostVersions)
    .execute();
  return rows.map(({ revision, outcome, created_at }) => ({
    revision,
    at: created_at.toISOString(),
    status: outcome.status,
    netBuildupM: outcome.netBuildup,
    worstM: outcome.residual?.worst ?? null,
    sigmaRimM: outcome.finished?.sigmaRim ?? null,
  }));
}
