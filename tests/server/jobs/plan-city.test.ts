import { randomUUID } from 'node:crypto';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { Job } from '#shared/job.ts';
import { JobInterrupted } from '../../../server/jobs/plan/ends.ts';
import { runPlanJob } from '../../../server/jobs/plan/run.ts';
import type { Database } from '../../../server/store/database.ts';
import { findJob, insertJob } from '../../../server/store/jobs.ts';
import { touchProjectInputs } from '../../../server/store/plan/changes.ts';
import { city, layCity } from '../../bench/city/lay.ts';
import { createDatabase } from '../../helpers/database.ts';
import { recount } from '../../helpers/recount.ts';

/** Enough for threads, and for two strips. */
const size = { structures: 18_000, covers: 16_500, shots: 120_000 };
const key = { agencyId: city.agencyId, projectId: city.projectId };

let database: Database;
let drop: () => Promise<void>;
beforeAll(async () => {
  ({ database, drop } = await createDatabase());
  await layCity(database, size);
}, 60_000);
afterAll(() => drop());

const faults: unknown[] = [];
async function plan(stopping = new AbortController().signal, jobId: string = randomUUID()): Promise<Job> {
  await insertJob(database.kysely, { ...key, jobId });
  await runPlanJob(database, { ...key, jobId }, { stopping, log: (error) => faults.push(error) });
  return (await findJob(database.kysely, key.agencyId, jobId))!;
}

const outcomes = () => database.sql<{ structure_id: string; outcome: object }[]>`
  select cover.structure_id, plan.outcome from project_covers as cover
  join plan_covers as plan on plan.agency_id = cover.agency_id and plan.project_id = cover.project_id
    and plan.structure_id = cover.structure_id and plan.revision = cover.plan_revision
  where cover.agency_id = ${key.agencyId} and cover.project_id = ${key.projectId}
  order by cover.structure_id`;

/** Raises shots near a cover by a centimetre, as an edit of them does. */
async function raiseShots(structureId: string): Promise<void> {
  const [{ cell }] = await database.sql<{ cell: number }[]>`
    select cell from project_covers where project_id = ${key.projectId} and structure_id = ${structureId}`;
  await database.sql`
    update shots set elevation_m = elevation_m + 0.01 where project_id = ${key.projectId} and cell = ${cell}`;
  await touchProjectInputs(database.kysely, key, [cell]);
}

describe('a plan of a city', () => {
  it('plans every cover once, in threads and strip by strip', { timeout: 60_000 }, async () => {
    const job = await plan();
    expect(faults).toEqual([]);
    expect(job).toMatchObject({
      state: 'done',
      done: 16_500,
      total: 16_500,
      planned: 16_500,
      planRevision: 1,
    });
    expect(await outcomes()).toHaveLength(16_500);
    const [left] = await database.sql`select count(*)::integer as rows from plan_draft_covers`;
    expect(left).toEqual({ rows: 0 });
  });

  it('keeps the counts of the tiles as a recount finds them', async () => {
    const { covers, counts } = await recount(database);
    expect(counts.kept).toEqual(counts.counted);
    expect(covers.kept).toEqual(covers.counted);
  });

  it('of one changed place plans only the covers within reach, to what a plan of all finds', async () => {
    const before = await outcomes();
    await raiseShots(before[4000].structure_id);
    await raiseShots(before[12_000].structure_id);
    const part = await plan();
    expect(part).toMatchObject({ state: 'done', planRevision: 2, unchanged: false });
    expect(part.planned).toBeGreaterThan(0);
    expect(part.planned).toBeLessThan(300);
    // Nothing is known of what was planned from what: all covers are planned, and come out as they did.
    await database.sql`update project_covers set inputs_hash = null`;
    await touchProjectInputs(database.kysely, key);
    expect(await plan()).toMatchObject({ planned: 16_500, unchanged: true, planRevision: 2 });
    const after = await outcomes();
    const changed = after.filter(
      ({ outcome }, at) => JSON.stringify(outcome) !== JSON.stringify(before[at].outcome),
    );
    expect(changed.length).toBeGreaterThan(0);
    expect(changed.length).toBeLessThanOrEqual(part.planned);
  }, 60_000);

  it('of a changed shot on no line asks the covers near it, on a coded line those as far as lines reach', async () => {
    const [{ east, north, cell }] = await database.sql<{ east: number; north: number; cell: number }[]>`
      select easting_m as east, northing_m as north, cell from project_covers
      where project_id = ${key.projectId} and status = 'raise' order by structure_id offset 6000 limit 1`;
    await database.sql`
      update shots set role = case when point::integer % 2 = 0 then 'crown' else 'gutter' end
      where project_id = ${key.projectId} and point::integer % 9 in (0, 1)
        and easting_m between ${east - 250} and ${east + 250}
        and northing_m between ${north - 250} and ${north + 250}`;
    await touchProjectInputs(database.kysely, key);
    expect((await plan()).planned).toBeGreaterThan(50);
    const raise = async (onLine: boolean) => {
      await database.sql`
        update shots set elevation_m = elevation_m + 0.003, easting_m = easting_m + 0.01
        where project_id = ${key.projectId} and cell = ${cell} and (role in ('crown', 'gutter')) = ${onLine}`;
      await touchProjectInputs(database.kysely, key, onLine ? [cell] : { near: [cell] });
      const { planned } = await plan();
      // All covers are planned anew, and come out as they did.
      await database.sql`update project_covers set inputs_hash = null`;
      await touchProjectInputs(database.kysely, key);
      expect(await plan()).toMatchObject({ planned: 16_500, unchanged: true });
      return planned;
    };
    const near = await raise(false);
    const far = await raise(true);
    expect(near).toBeGreaterThan(0);
    expect(near).toBeLessThan(30);
    expect(far).toBeGreaterThan(2 * near);
  }, 60_000);

  it('passes over covers whose inputs are as they were, whatever was looked at', async () => {
    await touchProjectInputs(database.kysely, key);
    expect(await plan()).toMatchObject({ planned: 0, unchanged: true });
    expect(await plan()).toMatchObject({ planned: 0, unchanged: true, done: 16_500 });
  }, 60_000);

  it('leaves a stack that stands in the field as it is, and says that its plan is stale', async () => {
    const [{ structure_id: id }] = await outcomes();
    const read = async () => {
      const [row] = await database.sql`
        select plan_revision, plan_stale from project_covers where structure_id = ${id}`;
      return row;
    };
    await database.sql`update project_covers set field_status = 'stacked' where structure_id = ${id}`;
    const before = await read();
    await raiseShots(id);
    await plan();
    expect(await read()).toEqual({ ...before, plan_stale: true });
    const [{ cell }] = await database.sql<{ cell: number }[]>`
      select cell from project_covers where structure_id = ${id}`;
    await database.sql`update shots set elevation_m = elevation_m - 0.01 where cell = ${cell}`;
    await touchProjectInputs(database.kysely, key, [cell]);
    await plan();
    expect(await read()).toEqual({ ...before, plan_stale: false });
  });

  it('that was stopped goes on with what it had not planned', async () => {
    await database.sql`update project_covers set inputs_hash = null, outcome_hash = null`;
    await database.sql`update plans set common_hash = ''`;
    const jobId = randomUUID();
    const stopping = new AbortController();
    const running = plan(stopping.signal, jobId);
    running.catch(() => {});
    await expect
      .poll(
        async () => (await database.sql`select covers_done from plan_drafts where covers_done > 0`).length,
        {
          timeout: 30_000,
          interval: 10,
        },
      )
      .toBe(1);
    stopping.abort();
    await expect(running).rejects.toBeInstanceOf(JobInterrupted);
    const [{ covers_done: kept }] = await database.sql`select covers_done from plan_drafts`;
    expect(kept).toBeGreaterThan(0);
    await runPlanJob(database, { ...key, jobId }, { stopping: new AbortController().signal, log: () => {} });
    const job = (await findJob(database.kysely, key.agencyId, jobId))!;
    expect(job).toMatchObject({ state: 'done', done: 16_500 });
    expect(job.planned).toBe(16_500 - kept);
    expect(await outcomes()).toHaveLength(16_500);
  }, 60_000);
});
