import { randomUUID } from 'node:crypto';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { runDeletionJob } from '../../../server/jobs/deletion.ts';
import { JobInterrupted } from '../../../server/jobs/plan/ends.ts';
import { runPlanJob } from '../../../server/jobs/plan/run.ts';
import type { Database } from '../../../server/store/database.ts';
import { findJob, insertJob } from '../../../server/store/jobs.ts';
import { touchProjectInputs } from '../../../server/store/plan/changes.ts';
import { isOfDeletedProject, lockProject } from '../../../server/store/plans.ts';
import { beginDeletion } from '../../../server/store/project-deletion.ts';
import { inTransaction } from '../../../server/store/transaction.ts';
import { city, layCity } from '../../bench/city/lay.ts';
import { createDatabase } from '../../helpers/database.ts';
import { recount } from '../../helpers/recount.ts';

const key = { agencyId: city.agencyId, projectId: city.projectId };
const covers = 2600;
const shots = 30_000;
const deletion = { ...key, jobId: randomUUID() };

let database: Database;
let drop: () => Promise<void>;
beforeAll(async () => {
  ({ database, drop } = await createDatabase());
  await layCity(database, { structures: covers + 400, covers, shots });
  const plan = { ...key, jobId: randomUUID() };
  await insertJob(database.kysely, plan);
  await runPlanJob(database, plan, { stopping: new AbortController().signal, log: () => {} });
  await inTransaction(database, ({ db }) => beginDeletion(db, key, deletion.jobId));
}, 60_000);
afterAll(() => drop());

const left = async (table: string): Promise<number> => {
  const [{ rows }] = await database.sql`
    select count(*)::integer as rows from ${database.sql(table)} where project_id = ${key.projectId}`;
  return rows;
};

describe('a large project that is being deleted', { timeout: 60_000 }, () => {
  it('takes no change from the moment on that it was asked for', async () => {
    await expect(lockProject(database.kysely, key)).rejects.toSatisfy(isOfDeletedProject);
    const change = database.sql`update projects set name = 'Other' where project_id = ${key.projectId}`;
    await expect(change).rejects.toSatisfy(isOfDeletedProject);
    // An edit of the register goes on without it.
    await expect(touchProjectInputs(database.kysely, key, [1])).resolves.toBeUndefined();
  });

  it('is interrupted between two parts, each of which leaves the tiles as they are to be', async () => {
    const stopping = new AbortController();
    const running = runDeletionJob(database, deletion, stopping.signal);
    running.catch(() => {});
    await expect.poll(() => left('project_covers'), { interval: 5, timeout: 20_000 }).toBeLessThan(covers);
    stopping.abort();
    await expect(running).rejects.toBeInstanceOf(JobInterrupted);
    const rest = await left('project_covers');
    expect(rest).toBeGreaterThan(0);
    const job = await findJob(database.kysely, key.agencyId, deletion.jobId);
    expect(job).toMatchObject({ state: 'running', done: covers - rest, total: 2 * covers + shots });
    const { covers: drawn, counts } = await recount(database);
    expect([drawn.kept, counts.kept]).toEqual([drawn.counted, counts.counted]);
  });

  it('goes on where it was, and takes its job along at the end', async () => {
    await runDeletionJob(database, deletion, new AbortController().signal);
    for (const table of ['projects', 'project_covers', 'plan_covers', 'shots', 'jobs', 'tile_covers'])
      expect([table, await left(table)]).toEqual([table, 0]);
    const [{ structures }] = await database.sql`select count(*)::integer as structures from structures`;
    expect(structures).toBe(covers + 400);
    const { covers: drawn, counts } = await recount(database);
    expect([drawn.kept, counts.kept]).toEqual([drawn.counted, counts.counted]);
    // Again, as a queue may ask: nothing is left to do.
    await runDeletionJob(database, deletion, new AbortController().signal);
  });
});
