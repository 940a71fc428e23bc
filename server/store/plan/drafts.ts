import { type Kysely, sql as sqlText } from 'kysely';
import type { Tables } from '../tables.ts';
import { copyIn, type Transaction } from '../transaction.ts';
import type { SigmaChoices } from './tables.ts';

interface ProjectKey {
  agencyId: string;
  projectId: string;
}

/** A plan that is being made: its covers are laid beside those in force until all of them are there. */
export interface PlanDraft {
  revision: number;
  inputRevision: number;
  commonHash: string;
  shotSigmas: SigmaChoices;
  stripsDone: number[];
  coversDone: number;
}

/** null where there is none, or where the covers that were laid down in it are not all there any more. */
export async function findDraft(
  db: Kysely<Tables>,
  { agencyId, projectId }: ProjectKey,
  jobId: string,
): Promise<PlanDraft | null> {
  const row = await db
    .selectFrom('plan_drafts')
    .selectAll()
    .where('agency_id', '=', agencyId)
    .where('project_id', '=', projectId)
    .where('job_id', '=', jobId)
    .executeTakeFirst();
  if (!row) return null;
  const { count } = await db
    .selectFrom('plan_draft_covers')
    .select((eb) => eb.fn.countAll<number>().as('count'))
    .where('agency_id', '=', agencyId)
    .where('project_id', '=', projectId)
    .executeTakeFirstOrThrow();
  if (Number(count) !== row.rows_laid) return null;
  return {
    revision: row.revision,
    inputRevision: row.input_revision,
    commonHash: row.common_hash,
    shotSigmas: row.shot_sigmas,
    stripsDone: row.strips_done,
    coversDone: row.covers_done,
  };
}

/** Begins a draft; one that another job left behind goes. */
export async function beginDraft(
  db: Kysely<Tables>,
  { agencyId, projectId, jobId }: ProjectKey & { jobId: string },
  draft: Omit<PlanDraft, 'stripsDone' | 'coversDone'>,
): Promise<void> {
  await dropDraft(db, { agencyId, projectId });
  // Also of a draft that went in some other way: what is counted when a draft comes into force is its own.
  await dropVerdicts(db, { agencyId, projectId });
  await db
    .insertInto('plan_drafts')
    .values({
      agency_id: agencyId,
      project_id: projectId,
      job_id: jobId,
      revision: draft.revision,
      input_revision: draft.inputRevision,
      common_hash: draft.commonHash,
      shot_sigmas: draft.shotSigmas,
    })
    .execute();
}

/**
 * Throws away what was drafted of a project's next plan. The plan in force and those before it stay, and so do covers that
 * the draft was put in force for.
 */
export async function dropDraft(
  db: Kysely<Tables>,
  { agencyId, projectId }: ProjectKey,
  jobId?: string,
): Promise<void> {
  let draft = db
    .deleteFrom('plan_drafts')
    .where('agency_id', '=', agencyId)
    .where('project_id', '=', projectId);
  if (jobId !== undefined) draft = draft.where('job_id', '=', jobId);
  const dropped = await draft.returning('revision').execute();
  for (const { revision } of dropped) {
    await sqlText`
      delete from plan_covers as plan
      where agency_id = ${agencyId} and project_id = ${projectId} and revision = ${revision} and not exists (
        select from project_covers as cover
        where cover.agency_id = plan.agency_id and cover.project_id = plan.project_id
          and cover.structure_id = plan.structure_id and cover.plan_revision = plan.revision)`.execute(db);
    await dropVerdicts(db, { agencyId, projectId });
  }
}

async function dropVerdicts(db: Kysely<Tables>, { agencyId, projectId }: ProjectKey): Promise<void> {
  await sqlText`
    delete from plan_draft_covers where agency_id = ${agencyId} and project_id = ${projectId}`.execute(db);
}

/**
 * Lays planned covers down: outcomes in the form of COPY, and what each cover is to be given. `strip` is noted as done
 * with them. False where the draft is not that of the job any more.
 */
export async function addToDraft(
  { sql }: Transaction,
  { agencyId, projectId, jobId }: ProjectKey & { jobId: string },
  part: { strip: number | null; covers: number; planned: number; outcomes: Buffer; verdicts: Buffer },
): Promise<boolean> {
  const rows = await sql`
    update plan_drafts set covers_done = covers_done + ${part.covers}, rows_laid = rows_laid + ${part.planned},
      strips_done = case when ${part.strip}::integer is null then strips_done
        else array_append(strips_done, ${part.strip}::integer) end
    where agency_id = ${agencyId} and project_id = ${projectId} and job_id = ${jobId}
    returning 1`;
  if (rows.length === 0) return false;
  const outcomes = 'agency_id, project_id, structure_id, revision, status, outcome';
  await copyIn(sql, `copy plan_covers (${outcomes}) from stdin (format binary)`, once(part.outcomes));
  const verdicts = `agency_id, project_id, structure_id, status, net_buildup_m, worst_m, surface_ids, inputs_hash,
    outcome_hash, verdict`;
  await copyIn(sql, `copy plan_draft_covers (${verdicts}) from stdin (format binary)`, once(part.verdicts));
  return true;
}

const pieceBytes = 1 << 20;

/** In pieces, so that the socket's buffer stays small. */
async function* once(bytes: Buffer): AsyncGenerator<Buffer> {
  for (let at = 0; at < bytes.length; at += pieceBytes) yield bytes.subarray(at, at + pieceBytes);
}
