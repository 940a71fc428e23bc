import { randomUUID } from 'node:crypto';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { Job } from '#shared/job.ts';
import { JobInterrupted } from '../../../server/jobs/plan/ends.ts';
import { runPlanJob } from '../../../server/jobs/plan/run.ts';
import type { Database } from '../../../server/store/database.ts';
import { cancelJob, findJob, holdJob, insertJob } from '../../../server/store/jobs.ts';
import { touchProjectInputs } from '../../../server/store/plan/changes.ts';
import { beginDraft, findDraft } from '../../../server/store/plan/drafts.ts';
import {
  beginInForce,
  endInForce,
  lookOverDraft,
  putPartInForce,
} from '../../../server/store/plan/putInForce.ts';
import { inTransaction } from '../../../server/store/transaction.ts';
import { city, layCity } from '../../bench/city/lay.ts';
import { createDatabase } from '../../helpers/database.ts';
import { recount } from '../../helpers/recount.ts';

/** Enough for several parts, and for strips that are planned in threads. */
const covers = 9000;
const key = { agencyId: city.agencyId, projectId: city.projectId };

let database: Database;
let drop: () => Promise<void>;
beforeAll(async () => {
  ({ database, drop } = await createDatabase());
  await layCity(database, { structures: covers, covers, shots: 70_000 });
}, 60_000);
afterAll(() => drop());

async function plan(jobId: string = randomUUID(), stopping = new AbortController().signal): Promise<Job> {
  await insertJob(database.kysely, { ...key, jobId });
  await runPlanJob(database, { ...key, jobId }, { stopping, log: () => {} });
  return (await findJob(database.kysely, key.agencyId, jobId))!;
}

const revisions = async () =>
  Object.fromEntries(
    (
      await database.sql<{ revision: number | null; covers: number }[]>`
        select plan_revision as revision, count(*)::integer as covers from project_covers group by 1`
    ).map((row) => [String(row.revision), row.covers]),
  );

const project = async () => {
  const [row] = await database.sql<{ revision: number; waits: boolean }[]>`
    select plan_revision as revision, planned_input_revision < input_revision as waits from projects`;
  return row;
};

/** What every cover has in force, and how many outcomes are stored for it. */
const outcomes = () => database.sql<{ id: string; outcome: object | null; status: string | null }[]>`
  select cover.structure_id as id, plan.outcome, cover.status from project_covers as cover
  left join plan_covers as plan on plan.agency_id = cover.agency_id and plan.project_id = cover.project_id
    and plan.structure_id = cover.structure_id and plan.revision = cover.plan_revision
  order by cover.structure_id`;

describe('a plan that comes into force part by part', { timeout: 60_000 }, () => {
  it('and is interrupted between two parts leaves the project unplanned, and the next job plans the rest', async () => {
    await touchProjectInputs(database.kysely, key);
    await database.sql.unsafe(`
      create function fail_late() returns trigger language plpgsql as $$ begin
        if (select count(*) from project_covers where plan_revision is not null) > 3000 then
          raise exception 'interrupted';
        end if;
        return new;
      end $$;
      create trigger fail_late before delete on plan_draft_covers for each statement execute function fail_late()`);
    const failed = await plan();
    await database.sql.unsafe('drop trigger fail_late on plan_draft_covers; drop function fail_late');
    expect(failed.state).toBe('failed');
    const { 1: before, null: without } = await revisions();
    expect(before).toBeGreaterThan(1000);
    expect(without).toBe(covers - before);
    expect(await project()).toEqual({ revision: 0, waits: true });
    // Nothing is left of the draft, and whatever is in force has its outcome.
    const [left] = await database.sql`
      select (select count(*) from plan_drafts)::integer as drafts,
        (select count(*) from plan_draft_covers)::integer as drafted,
        (select count(*) from plan_covers)::integer as outcomes`;
    expect(left).toEqual({ drafts: 0, drafted: 0, outcomes: before });

    const done = await plan();
    expect(done).toMatchObject({ state: 'done', planned: without, planRevision: 2, unchanged: false });
    expect(await revisions()).toEqual({ 1: before, 2: without });
    expect(await project()).toEqual({ revision: 2, waits: false });
    const all = await outcomes();
    expect(all.filter(({ outcome }) => outcome === null)).toEqual([]);
    const { covers: drawn, counts } = await recount(database);
    expect(counts.kept).toEqual(counts.counted);
    expect(drawn.kept).toEqual(drawn.counted);
  });

  it('is the plan that one transaction would have put in force', async () => {
    const before = await outcomes();
    // Rows of a draft that went without them are not counted with those of the next one.
    await database.sql`
      insert into plan_draft_covers (agency_id, project_id, structure_id, status, inputs_hash, outcome_hash, verdict)
      values (${key.agencyId}, ${key.projectId}, ${before[0].id}, 'review', 77, 1, 'changed')`;
    await database.sql`update project_covers set inputs_hash = null, outcome_hash = null`;
    await touchProjectInputs(database.kysely, key);
    expect(await plan()).toMatchObject({ planned: covers, planRevision: 3 });
    expect(await revisions()).toEqual({ 3: covers });
    expect(await outcomes()).toEqual(before);
  });

  it('lets a change through between two parts', async () => {
    await database.sql`update project_covers set inputs_hash = null, outcome_hash = null`;
    await touchProjectInputs(database.kysely, key);
    const planning = plan();
    const seen = new Set<string>();
    let ended = false;
    planning.finally(() => {
      ended = true;
    });
    // Whoever changes something waits for the project's row, which every part holds.
    while (!ended) {
      await touchProjectInputs(database.kysely, key, [1]);
      seen.add(Object.keys(await revisions()).join(' '));
    }
    await planning;
    expect([...seen]).toContain('3 4');
    expect(await project()).toMatchObject({ revision: 4, waits: true });
  });

  it('keeps the plan of a cover that was stacked since the plan was made', async () => {
    const jobId = randomUUID();
    await insertJob(database.kysely, { ...key, jobId });
    const [built, accepted, other] = (await outcomes()).slice(0, 3).map(({ id }) => id);
    const { agencyId, projectId } = key;
    const draft = { revision: 5, inputRevision: 1, commonHash: 'x', shotSigmas: {} };
    await beginDraft(database.kysely, { ...key, jobId }, draft);
    await database.sql`update plan_drafts set rows_laid = 3`;
    await database.sql`
      insert into plan_draft_covers (agency_id, project_id, structure_id, status, inputs_hash, outcome_hash, verdict)
      select ${agencyId}, ${projectId}, unnest(${[built, accepted, other]}::text[]), 'review', 77, 1, 'changed'`;
    await database.sql`
      insert into plan_covers (agency_id, project_id, structure_id, revision, status, outcome)
      select ${agencyId}, ${projectId}, unnest(${[built, accepted, other]}::text[]), 5, 'review', '{}'`;
    await database.sql`update project_covers set field_status = 'stacked' where structure_id = ${built}`;
    await database.sql`update project_covers set field_status = 'accepted' where structure_id = ${accepted}`;
    await inTransaction(database, async (own) => {
      const laid = await lookOverDraft(own, { ...key, jobId });
      const entering = (await beginInForce(own, { ...key, jobId }, { draft, laid }))!;
      for (const part of entering.parts) await putPartInForce(own, { ...key, jobId }, entering, part);
      await endInForce(own, { ...key, jobId }, entering);
    });
    const rows = await database.sql`
      select cover.structure_id as id, plan_revision as revision, plan_stale as stale, (
        select max(revision) from plan_covers as plan where plan.structure_id = cover.structure_id) as latest
      from project_covers as cover where structure_id in ${database.sql([built, accepted, other])} order by 1`;
    expect([...rows]).toEqual([
      { id: built, revision: 4, stale: true, latest: 4 },
      { id: accepted, revision: 4, stale: false, latest: 4 },
      { id: other, revision: 5, stale: false, latest: 5 },
    ]);
  });

  it('cannot be cancelled from then on', async () => {
    const jobId = randomUUID();
    await database.sql`delete from jobs where state = 'queued'`;
    await insertJob(database.kysely, { ...key, jobId });
    expect(await holdJob(database.kysely, key.agencyId, jobId)).toBe(true);
    expect(await cancelJob(database.kysely, key.agencyId, jobId)).toBe(false);
    await database.sql`update jobs set is_entering = false where job_id = ${jobId}`;
    expect(await cancelJob(database.kysely, key.agencyId, jobId)).toBe(true);
    expect(await holdJob(database.kysely, key.agencyId, jobId)).toBe(false);
  });

  it('is begun anew where a crash of the database took what was drafted', async () => {
    await database.sql`update project_covers set field_status = null, inputs_hash = null, outcome_hash = null`;
    await touchProjectInputs(database.kysely, key);
    const jobId = randomUUID();
    const stopping = new AbortController();
    const running = plan(jobId, stopping.signal);
    running.catch(() => {});
    const laid = async () =>
      (await database.sql`select rows_laid from plan_drafts where rows_laid > 0`).length;
    await expect.poll(laid, { timeout: 30_000, interval: 10 }).toBe(1);
    stopping.abort();
    await expect(running).rejects.toBeInstanceOf(JobInterrupted);
    expect(await findDraft(database.kysely, key, jobId)).not.toBeNull();
    // An unlogged table is empty after a crash.
    await database.sql`truncate plan_draft_covers`;
    expect(await findDraft(database.kysely, key, jobId)).toBeNull();
    await runPlanJob(database, { ...key, jobId }, { stopping: new AbortController().signal, log: () => {} });
    expect(await findJob(database.kysely, key.agencyId, jobId)).toMatchObject({
      state: 'done',
      planned: covers,
    });
  });

  it('that finds nothing left to give stands under the revision of the one that was interrupted', async () => {
    await plan();
    const { revision } = await project();
    // As if all of its parts but the end had come into force.
    await database.sql`
      insert into plans (agency_id, project_id, revision, job_id)
      values (${key.agencyId}, ${key.projectId}, ${revision + 1}, ${randomUUID()})`;
    await touchProjectInputs(database.kysely, key);
    expect(await plan()).toMatchObject({ state: 'done', planned: 0 });
    expect(await project()).toEqual({ revision: revision + 1, waits: false });
  });
});
