import { sql as sqlText } from 'kysely';
import { setSent } from '../field/covers.ts';
import { applyCoverChanges, type ChangedCover } from '../tiles/changes.ts';
import type { Transaction } from '../transaction.ts';
import { forgetChanges } from './changes.ts';
import type { SigmaChoices } from './tables.ts';

interface ProjectKey {
  agencyId: string;
  projectId: string;
}

export interface FinishedDraft {
  revision: number;
  inputRevision: number;
  commonHash: string;
  shotSigmas: SigmaChoices;
}

/** What a plan came to: covers with another outcome, covers that are stacked and whose plan is stale now. */
export interface PlanResult {
  /** null: nothing came out otherwise, and the plan in force stays. */
  revision: number | null;
  changed: number;
}

/**
 * Notes what covers that came out as before were planned from. That is true whether the draft comes into force or not, so it
 * needs no lock of the project: whoever changes something does not wait for it. Covers that somebody holds are left to
 * `putInForce`, so that this waits for nobody.
 */
export async function noteSame({ sql }: Transaction, { agencyId, projectId }: ProjectKey): Promise<void> {
  await sql`analyze plan_draft_covers`;
  await sql`
    with free as materialized (
      select cover.structure_id, draft.inputs_hash from project_covers as cover
      join plan_draft_covers as draft on draft.structure_id = cover.structure_id
      where cover.agency_id = ${agencyId} and cover.project_id = ${projectId} and draft.agency_id = ${agencyId}
        and draft.project_id = ${projectId} and draft.verdict = 'same'
      for no key update of cover skip locked
    )
    update project_covers as cover set inputs_hash = free.inputs_hash, plan_stale = false
    from free where cover.agency_id = ${agencyId} and cover.project_id = ${projectId}
      and cover.structure_id = free.structure_id`;
}

/**
 * Puts a draft in force: every cover gets what it was given, and the draft is gone. The caller holds the project's lock
 * and the transaction. null where the draft is not that of the job any more.
 */
export async function putInForce(
  transaction: Transaction,
  key: ProjectKey & { jobId: string },
  draft: FinishedDraft,
): Promise<PlanResult | null> {
  const { sql, db } = transaction;
  const { agencyId, projectId, jobId } = key;
  const taken = await sql`
    delete from plan_drafts where agency_id = ${agencyId} and project_id = ${projectId} and job_id = ${jobId}
    returning 1`;
  if (taken.length === 0) return null;
  const changed = await applyVerdicts(transaction, key, draft.revision);
  // A cover may have got its night before its plan.
  if (changed > 0) await setSent(db, key, changedIds(key));
  const first = await sql`
    select 1 from plans where agency_id = ${agencyId} and project_id = ${projectId} limit 1`;
  const isNew = changed > 0 || first.length === 0;
  if (isNew) {
    await sql`
      insert into plans (agency_id, project_id, revision, job_id, common_hash, shot_sigmas)
      values (${agencyId}, ${projectId}, ${draft.revision}, ${jobId}, ${draft.commonHash},
        ${sql.json(draft.shotSigmas as never)})`;
  } else {
    await sql`
      update plans set common_hash = ${draft.commonHash}, shot_sigmas = ${sql.json(draft.shotSigmas as never)}
      where agency_id = ${agencyId} and project_id = ${projectId} and revision = (
        select plan_revision from projects where agency_id = ${agencyId} and project_id = ${projectId})`;
  }
  await sql`
    update projects set planned_input_revision = ${draft.inputRevision},
      plan_revision = case when ${isNew} then ${draft.revision} else plan_revision end
    where agency_id = ${agencyId} and project_id = ${projectId}`;
  await forgetChanges(db, key, draft.inputRevision);
  // Last, since it locks tiles until the transaction ends.
  if (changed > 0) await applyCoverChanges(db, key, changedIn(key));
  await sql`delete from plan_draft_covers where agency_id = ${agencyId} and project_id = ${projectId}`;
  return { revision: isNew ? draft.revision : null, changed };
}

const changedIds = ({ agencyId, projectId }: ProjectKey) => sqlText<{ structure_id: string }>`
  select structure_id from plan_draft_covers
  where agency_id = ${agencyId} and project_id = ${projectId} and verdict = 'changed'`;

const changedIn = ({ agencyId, projectId }: ProjectKey) => sqlText<ChangedCover>`
  select draft.structure_id, coalesce(cover.field_status, draft.status) as status, draft.net_buildup_m
  from plan_draft_covers as draft
  join project_covers as cover on cover.agency_id = draft.agency_id and cover.project_id = draft.project_id
    and cover.structure_id = draft.structure_id
  where draft.agency_id = ${agencyId} and draft.project_id = ${projectId} and draft.verdict = 'changed'`;

/** Gives every drafted cover its verdict; the number of those that came out otherwise. */
async function applyVerdicts(
  { sql }: Transaction,
  { agencyId, projectId }: ProjectKey,
  revision: number,
): Promise<number> {
  // A draft has thirty covers or all of a city, and what is a good way for one is a bad one for the other.
  await sql`analyze plan_draft_covers`;
  const verdicts = await sql<{ verdict: string }[]>`
    select distinct verdict from plan_draft_covers where agency_id = ${agencyId} and project_id = ${projectId}`;
  const given = (verdict: string) => verdicts.some((row) => row.verdict === verdict);
  const ofDraft = (verdict: string) => sql`
    cover.agency_id = ${agencyId} and cover.project_id = ${projectId} and draft.agency_id = ${agencyId}
    and draft.project_id = ${projectId} and draft.structure_id = cover.structure_id
    and draft.verdict = ${verdict}`;
  if (given('same')) {
    await sql`
      update project_covers as cover set inputs_hash = draft.inputs_hash, plan_stale = false
      from plan_draft_covers as draft where ${ofDraft('same')}
        and (cover.inputs_hash is distinct from draft.inputs_hash or cover.plan_stale)`;
  }
  // What was accepted is built, and its rim is in the register: it has no plan to be behind.
  if (given('stale')) {
    await sql`
      update project_covers as cover set plan_stale = true
      from plan_draft_covers as draft where ${ofDraft('stale')}
        and cover.field_status is distinct from 'accepted'`;
  }
  if (!given('changed')) return 0;
  const { count } = await sql`
    update project_covers as cover
    set status = draft.status, net_buildup_m = draft.net_buildup_m, worst_m = draft.worst_m,
      surface_ids = draft.surface_ids, plan_revision = ${revision}, inputs_hash = draft.inputs_hash,
      outcome_hash = draft.outcome_hash, plan_stale = false
    from plan_draft_covers as draft where ${ofDraft('changed')}`;
  return count;
}
