import { type RawBuilder, sql as sqlText } from 'kysely';
import { sendsOut } from '../field/covers.ts';
import { shareProject } from '../plans.ts';
import { applyCoverChanges, type ChangedCover } from '../tiles/changes.ts';
import { literal, type Transaction } from '../transaction.ts';
import { forgetChanges } from './changes.ts';
import { stackedStatuses } from './coverRows.ts';
import type { SigmaChoices } from './tables.ts';

/**
 * A draft comes into force by parts: `lookOverDraft` before, then `beginInForce`, `putPartInForce` for every part of it, `endInForce`, each with the
 * project's lock held by the caller's transaction, which several parts may share (`beginPart`). One cover is always of one
 * plan, and whoever changes something waits for a part at most. Where it is interrupted between two parts, covers have plans
 * of two revisions, each with the hash of what it was made from, and the project stands as not planned: the next job plans
 * the rest.
 */

interface DraftKey {
  agencyId: string;
  projectId: string;
  jobId: string;
}

export interface FinishedDraft {
  revision: number;
  inputRevision: number;
  commonHash: string;
  shotSigmas: SigmaChoices;
}

/** A draft that began to come into force. */
export interface EnteringDraft extends FinishedDraft {
  /** Another outcome anywhere, or the first plan: it has a revision of its own. */
  isNew: boolean;
  /** Covers in the draft. */
  rows: number;
  parts: readonly DraftPart[];
}

/** Pages of `plan_draft_covers`, in which each row stays where it was laid. */
export interface DraftPart {
  from: number;
  to: number;
}

/** Covers of a part, more or less: some tenth of a second for whoever waits. */
const coversInPart = 1500;

/** What was laid down in a draft, and the pages that it lies in. */
export interface LaidDraft {
  changed: boolean;
  rows: number;
  first: number;
  last: number;
}

/** To be asked for before anybody is kept waiting: half a second for a city, and nobody but its job writes in a draft. */
export async function lookOverDraft(
  { sql }: Transaction,
  { agencyId, projectId }: DraftKey,
): Promise<LaidDraft> {
  // A draft has thirty covers or all of a city, and what is a good way for one is a bad one for the other.
  await sql`analyze plan_draft_covers`;
  const [laid] = await sql<[LaidDraft]>`
    select coalesce(bool_or(verdict = 'changed'), false) as changed, count(*)::integer as rows,
      coalesce((min(ctid)::text::point)[0], 0)::integer as first, coalesce((max(ctid)::text::point)[0], -1)::integer as last
    from plan_draft_covers where agency_id = ${agencyId} and project_id = ${projectId}`;
  return laid;
}

/** null where the draft is not that of the job any more. */
export async function beginInForce(
  { sql }: Transaction,
  { agencyId, projectId, jobId }: DraftKey,
  { draft, laid }: { draft: FinishedDraft; laid: LaidDraft },
): Promise<EnteringDraft | null> {
  const [own] = await sql<{ rows: number }[]>`
    select rows_laid as rows from plan_drafts
    where agency_id = ${agencyId} and project_id = ${projectId} and job_id = ${jobId} for update`;
  if (!own) return null;
  if (laid.rows !== own.rows) throw new Error('The draft of the plan was lost in a crash of the database.');
  const [{ isFirst }] = await sql<[{ isFirst: boolean }]>`
    select not exists (
      select from plans where agency_id = ${agencyId} and project_id = ${projectId}) as "isFirst"`;
  const isNew = laid.changed || isFirst;
  // Without the hash of what it was made from until all of it is in force: no other plan is made on top of a part of it.
  if (isNew) {
    await sql`
      insert into plans (agency_id, project_id, revision, job_id, common_hash, shot_sigmas)
      values (${agencyId}, ${projectId}, ${draft.revision}, ${jobId}, '', ${sql.json(draft.shotSigmas as never)})`;
  }
  const { rows, first, last } = laid;
  const step = Math.max(1, Math.ceil(((last + 1 - first) * coversInPart) / Math.max(1, rows)));
  const parts: DraftPart[] = [];
  for (let from = first; from <= last; from += step) parts.push({ from, to: from + step });
  return { ...draft, isNew, rows, parts };
}

/** Begins a transaction of one part among several, in which the project's lock is shared; false where the project is gone. */
export async function beginPart({ sql, db }: Transaction, key: DraftKey): Promise<boolean> {
  if (!(await shareProject(db, key))) return false;
  // A part that a crash takes back is planned again; what ends the plan is written down with all parts before it.
  await sql`set local synchronous_commit = off`;
  return true;
}

/** Gives the covers of one part what was drafted for them; how many these are. */
export async function putPartInForce(
  { sql, db }: Transaction,
  key: DraftKey,
  { revision }: EnteringDraft,
  part: DraftPart,
): Promise<number> {
  const own = { ...key, part };
  const { agencyId, projectId } = key;
  await sql.unsafe(wayOfParts);
  const verdicts = await sql<{ verdict: string; rows: number }[]>`
    select verdict, count(*)::integer as rows from plan_draft_covers as draft where ${sql.unsafe(within(own))}
    group by 1`;
  const given = (verdict: string) => verdicts.some((row) => row.verdict === verdict);
  const ofDraft = (verdict: string) => sql`
    cover.agency_id = ${agencyId} and cover.project_id = ${projectId} and draft.structure_id = cover.structure_id
    and draft.verdict = ${verdict} and ${sql.unsafe(within(own))}`;
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
  const changed = verdicts.find(({ verdict }) => verdict === 'changed')?.rows ?? 0;
  if (changed > 0) {
    // The northing stays what it is; without it the database would work out for every row anew that `cell` need not be.
    // A cover may have got its night before its plan.
    const [written] = await sql<[{ rows: number; inField: number }]>`
      with given as (
        update project_covers as cover
        set status = draft.status, net_buildup_m = draft.net_buildup_m, worst_m = draft.worst_m,
          surface_ids = draft.surface_ids, plan_revision = ${revision}, inputs_hash = draft.inputs_hash,
          outcome_hash = draft.outcome_hash, plan_stale = false, northing_m = cover.northing_m,
          field_status = case when coalesce(cover.field_status, 'planned') <> 'planned' then cover.field_status
            when cover.night is not null and draft.status in ${sql(sendsOut)} then 'planned' end
        from plan_draft_covers as draft where ${ofDraft('changed')} and not ${isBuilt(sql)}
        returning cover.field_status
      )
      select count(*)::integer as rows, count(field_status)::integer as "inField" from given`;
    if (written.rows < changed) await keepWhatWasBuilt({ sql }, own, revision);
    // Last, since it locks tiles until the transaction ends.
    const isAllPlan = written.rows === changed && written.inField === 0;
    await applyCoverChanges(db, key, isAllPlan ? draftedIn(own) : changedIn(own));
  }
  await sql`delete from plan_draft_covers as draft where ${sql.unsafe(within(own))}`;
  return verdicts.reduce((sum, { rows }) => sum + rows, 0);
}

/** After all parts: the plan stands for these inputs, and the draft is gone. */
export async function endInForce(
  { sql, db }: Transaction,
  key: DraftKey,
  { inputRevision, commonHash, shotSigmas }: EnteringDraft,
): Promise<void> {
  const { agencyId, projectId, jobId } = key;
  // The latest is that of this draft, else of a plan that gave its revision to covers and was interrupted, else the one in force.
  const latest = sql`(
    select max(revision) from plans where agency_id = ${agencyId} and project_id = ${projectId})`;
  await sql`
    update plans set common_hash = ${commonHash}, shot_sigmas = ${sql.json(shotSigmas as never)}
    where agency_id = ${agencyId} and project_id = ${projectId} and revision = ${latest}`;
  await sql`
    update projects set planned_input_revision = ${inputRevision}, plan_revision = ${latest}
    where agency_id = ${agencyId} and project_id = ${projectId}`;
  await forgetChanges(db, key, inputRevision);
  await sql`
    delete from plan_drafts where agency_id = ${agencyId} and project_id = ${projectId} and job_id = ${jobId}`;
}

/** A part's covers are found one by one: a scan of all covers of a city for each of a hundred parts would take longest of all. */
const wayOfParts = ['enable_hashjoin', 'enable_mergejoin', 'enable_seqscan']
  .map((way) => `set local ${way} = off`)
  .concat('set local max_parallel_workers_per_gather = 0')
  .join('; ');

interface PartKey extends DraftKey {
  part: DraftPart;
}

/** Condition on `draft`: the project's rows in some pages, found by these alone. */
const within = ({ agencyId, projectId, part }: PartKey): string => `
  draft.agency_id = ${literal(agencyId)} and draft.project_id = ${literal(projectId)}
  and draft.ctid >= '(${part.from},0)'::tid and draft.ctid < '(${part.to},0)'::tid`;

/** Crews go on while a plan is made: what they stacked since it read the covers keeps the plan that they built to. */
async function keepWhatWasBuilt(
  { sql }: Pick<Transaction, 'sql'>,
  own: PartKey,
  revision: number,
): Promise<void> {
  const { agencyId, projectId } = own;
  const built = await sql<{ id: string }[]>`
    update project_covers as cover set plan_stale = cover.plan_stale or cover.field_status <> 'accepted'
    from plan_draft_covers as draft
    where cover.agency_id = ${agencyId} and cover.project_id = ${projectId}
      and draft.structure_id = cover.structure_id and draft.verdict = 'changed'
      and cover.plan_revision is distinct from ${revision} and ${sql.unsafe(within(own))} and ${isBuilt(sql)}
    returning cover.structure_id as id`;
  if (built.length === 0) return;
  await sql`
    delete from plan_covers where agency_id = ${agencyId} and project_id = ${projectId}
      and revision = ${revision} and structure_id in ${sql(built.map(({ id }) => id))}`;
}

/** Condition on `cover`: a stack that was built to a plan stands in the field. */
const isBuilt = (sql: Transaction['sql']) => sql`(
  cover.outcome_hash is not null and coalesce(cover.field_status in ${sql(stackedStatuses)}, false))`;

/** What the map shows of a part's covers where none of them has anything from the field. */
const draftedIn = (own: PartKey): RawBuilder<ChangedCover> => sqlText`
  select structure_id, status, net_buildup_m from plan_draft_covers as draft
  where ${sqlText.raw(within(own))} and verdict = 'changed'`;

/** The same of any covers: those in the field have its status, those that were built on keep their plan. */
const changedIn = (own: PartKey): RawBuilder<ChangedCover> => sqlText`
  select draft.structure_id, coalesce(cover.field_status, cover.status) as status, cover.net_buildup_m
  from plan_draft_covers as draft
  join project_covers as cover on cover.agency_id = draft.agency_id and cover.project_id = draft.project_id
    and cover.structure_id = draft.structure_id
  where ${sqlText.raw(within(own))} and draft.verdict = 'changed'`;
