import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it, vi } from 'vitest';
import type { Job } from '#shared/job.ts';
import { insertJob } from '../../../server/store/jobs.ts';
import { city, layCity } from '../../bench/city/lay.ts';
import { call, openServers, type Servers, until } from '../../helpers/servers.ts';

vi.setConfig({ testTimeout: 120_000, hookTimeout: 120_000 });

const agency = `/api/agencies/${city.agencyId}`;
const project = `${agency}/projects/${city.projectId}`;
const key = { agencyId: city.agencyId, projectId: city.projectId };
const isAtEnd = ({ state }: Job) => state !== 'queued' && state !== 'running';

let servers: Servers;
beforeAll(async () => {
  servers = await openServers();
  await layCity(servers.database, { structures: 18_000, covers: 16_500, shots: 120_000 });
});
afterAll(() => servers.close());

/** Makes the whole city due again, so that a plan of it takes seconds. */
async function forgetPlans(): Promise<void> {
  await servers.database.sql`update project_covers set inputs_hash = null, outcome_hash = null`;
  await servers.database.sql`update plans set common_hash = ''`;
  await servers.database.sql`update projects set input_revision = input_revision + 1`;
}

const jobAt = (address: string, id: string) => call<Job>(address, 'GET', `${agency}/jobs/${id}`);

async function queueStates(ids: readonly string[]): Promise<string[]> {
  const rows = await servers.database.sql<{ state: string }[]>`
    select state from pgboss.job where id = any(${ids as string[]}::uuid[])`;
  return rows.map(({ state }) => state);
}

describe('two servers on one database', () => {
  it('do a plan once that one of them is asked for, and each knows its end', async () => {
    const [a, b] = [servers.start(), servers.start()];
    const [at, other] = await Promise.all([a.address, b.address]);
    const job = await call<Job>(at, 'POST', `${project}/plans`);
    const ended = await until(() => jobAt(other, job.id), isAtEnd);
    expect(ended).toMatchObject({ state: 'done', planned: 16_500, done: 16_500, planRevision: 1 });
    expect(await jobAt(at, job.id)).toEqual(ended);
    const [counts] = await servers.database.sql`
      select (select count(*)::integer from plans) as plans, (select count(*)::integer from plan_covers) as covers,
        (select count(*)::integer from plan_draft_covers) as drafts`;
    expect(counts).toEqual({ plans: 1, covers: 16_500, drafts: 0 });
    await until(
      () => queueStates([job.id]),
      (states) => states.length === 1 && states[0] === 'completed',
    );
    await servers.stopAll();
  });

  it('tell a client of one of them the end of a job also where the line of notices was cut meanwhile', async () => {
    const [a, b] = [servers.start(), servers.start()];
    const [at] = await Promise.all([a.address, b.address]);
    await forgetPlans();
    const job = await call<Job>(at, 'POST', `${project}/plans`);
    const events = await fetch(`${at}${agency}/jobs/${job.id}/events`);
    const cut = await servers.database.sql`
      select pg_terminate_backend(pid) from pg_stat_activity
      where datname = current_database() and application_name like 'rimplane server %'`;
    expect(cut.length).toBe(2);
    // The server ends the stream with the job; where the end is lost, this waits until the test's limit.
    expect(await events.text()).toContain('"state":"done"');
    await servers.stopAll();
  });

  it('of which one is killed while it plans end the plan at the other, without planning strips twice', async () => {
    await forgetPlans();
    const first = servers.start();
    const job = await call<Job>(await first.address, 'POST', `${project}/plans`);
    const stripsDone = async () => {
      const [row] = await servers.database.sql<{ strips: number; covers: number }[]>`
        select cardinality(strips_done)::integer as strips, covers_done as covers from plan_drafts
        where job_id = ${job.id}`;
      return row ?? { strips: 0, covers: 0 };
    };
    await until(stripsDone, ({ strips }) => strips > 0);
    await servers.kill(first);
    const kept = await stripsDone();
    expect(kept.covers).toBeGreaterThan(0);
    const second = await servers.start().address;
    const ended = await until(() => jobAt(second, job.id), isAtEnd);
    expect(ended).toMatchObject({ state: 'done', done: 16_500, planned: 16_500 - kept.covers });
    await servers.stopAll();
  });

  it('end a job that the queue gave up, and put one in again that it knows nothing of', async () => {
    const lost = crypto.randomUUID();
    await insertJob(servers.database.kysely, { ...key, jobId: lost });
    const address = await servers.start().address;
    expect(await until(() => jobAt(address, lost), isAtEnd)).toMatchObject({ state: 'done' });
    await servers.stopAll();
    const given = crypto.randomUUID();
    await insertJob(servers.database.kysely, { ...key, jobId: given });
    await servers.database.sql`
      insert into pgboss.job (id, name, state, data, completed_on)
      values (${given}, 'plan', 'failed', ${JSON.stringify({ ...key, jobId: given })}::jsonb, now())`;
    const next = await servers.start().address;
    const ended = await until(() => jobAt(next, given), isAtEnd);
    expect(ended).toMatchObject({ state: 'failed' });
    expect(ended.error).toContain('plan again');
    await servers.stopAll();
  });

  it('keep their uploads in one folder, or the second does not start and says why', async () => {
    const folder = mkdtempSync(join(tmpdir(), 'rimplane-elsewhere-'));
    await servers.start().address;
    const other = servers.start({ DATA_DIR: folder });
    await expect(other.address).rejects.toThrow(/Another server on this database keeps uploads in another/);
    expect((await other.ended).err.trim().split('\n')).toHaveLength(1);
    await servers.stopAll();
    rmSync(folder, { recursive: true, force: true });
  });

  it('refuse more connections than the database has, and say what all may come to', async () => {
    const many = servers.start({ DATABASE_CONNECTIONS: '500' });
    await expect(many.address).rejects.toThrow(
      /One server may open 516 connections .* the database allows \d+/,
    );
    await servers.stopAll();
  });

  it('say that they are ready while that is so', async () => {
    const address = await servers.start().address;
    expect(await call(address, 'GET', '/api/ready')).toMatchObject({
      ...{ status: 'ready', tables: 'ok', queue: 'ok' },
    });
    const [last] = await servers.database.sql<{ name: string; timestamp: string }[]>`
      delete from kysely_migration where name = (select max(name) from kysely_migration) returning *`;
    const answer = await fetch(`${address}/api/ready`);
    expect([answer.status, (await answer.json()).detail]).toEqual([503, 'The tables are not up to date.']);
    await servers.database.sql`insert into kysely_migration values (${last.name}, ${last.timestamp})`;
    await servers.stopAll();
  });
});

it('two servers that start at once on an empty database make its tables and its demo once', async () => {
  const empty = await openServers({ isEmpty: true });
  const [a, b] = [empty.start({ DEMO: 'auto' }), empty.start({ DEMO: 'auto' })];
  const addresses = await Promise.all([a.address, b.address]);
  for (const address of addresses)
    expect(await call(address, 'GET', '/api/ready')).toMatchObject({ tables: 'ok' });
  const [{ agencies }] = await empty.database.sql`select count(*)::integer as agencies from agencies`;
  expect(agencies).toBe(1);
  await empty.close();
});
