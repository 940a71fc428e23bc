import { setTimeout as pause } from 'node:timers/promises';
import { afterAll, beforeAll, expect, it, vi } from 'vitest';
import { makeProjection } from '#core/crs/crs.ts';
import type { Job } from '#shared/job.ts';
import type { StagedImport } from '#shared/staged-import.ts';
import { upsertCovers } from '../../../server/store/covers.ts';
import { crsOf } from '../../../server/store/projects.ts';
import { insertStructures } from '../../../server/store/structures.ts';
import { insertSurface } from '../../../server/store/surfaces.ts';
import { applyStructureChanges } from '../../../server/store/tiles/changes.ts';
import {
  agency,
  agencyId,
  coversOf,
  layProjects,
  pathOf,
  projectIdOf,
  registerOf,
  sendImport,
  shotsOf,
  shotsRound,
} from '../../helpers/many-imports.ts';
import { recount } from '../../helpers/recount.ts';
import { call, openServers, type Servers, until } from '../../helpers/servers.ts';

vi.setConfig({ testTimeout: 180_000, hookTimeout: 120_000 });

const projects = Array.from({ length: 12 }, (_, index) => index);
const covers = 40;
/** Every other project has its covers and is given shots; the others the other way round. */
const isGivenShots = (project: number) => project % 2 === 0;

let servers: Servers;
beforeAll(async () => {
  servers = await openServers();
  await layProjects(servers.database, projects.length);
  await servers.database.kysely.transaction().execute(async (db) => {
    const { toLonLat } = makeProjection(crsOf('EPSG:25832'));
    for (const project of projects) {
      const key = { agencyId, projectId: projectIdOf(project) };
      if (!isGivenShots(project)) {
        const surface = { name: 'night', stage: 'finished' as const, method: 'level' as const };
        await insertSurface(db, { ...key, surfaceId: 'night' }, surface, shotsRound(project, covers));
        continue;
      }
      const laid = coversOf(project, covers, toLonLat);
      await insertStructures(
        db,
        agencyId,
        laid.map(({ structure }) => structure),
        null,
      );
      await upsertCovers(
        db,
        key,
        laid.map(({ place }) => place),
      );
      await applyStructureChanges(
        db,
        agencyId,
        laid.map(({ structure }) => structure.id),
      );
    }
  });
});
afterAll(() => servers.close());

/** The servers that a client knows; one that does not answer is left out from then on. */
class Addresses {
  readonly #all: string[];
  #turn = 0;

  constructor(all: readonly string[]) {
    this.#all = [...all];
  }

  /** Asks one server after another until one answers. */
  async call<Answer>(method: string, path: string): Promise<Answer> {
    for (;;) {
      if (this.#all.length === 0) throw new Error('No server answers');
      const address = this.#all[this.#turn++ % this.#all.length];
      try {
        return await call<Answer>(address, method, path);
      } catch (error) {
        // A server that is gone is no fault of fetch's own kind; one that refuses is.
        if (!(error instanceof TypeError)) throw error;
        const at = this.#all.indexOf(address);
        if (at >= 0) this.#all.splice(at, 1);
      }
    }
  }
}

/** Reads, stores, and asks both servers for the plan: as a client that goes on wherever it is answered. */
async function driveImport(clients: Addresses, path: string): Promise<StagedImport> {
  const ask = async () => {
    // Twelve clients that ask without a pause would be most of what the servers do.
    await pause(250);
    return clients.call<StagedImport>('GET', path);
  };
  const read = await until(ask, ({ state }) => state === 'ready' || state === 'failed', 120);
  expect([path, read.state, read.preview?.questions.filter(({ isOpen }) => isOpen)]).toEqual([
    ...[path, 'ready', []],
  ]);
  await clients.call('POST', `${path}/commit`).catch(async (error: Error) => {
    // The server that was killed may have taken it before its answer was lost.
    if (!/: 409 /.test(error.message)) throw error;
  });
  return until(ask, ({ state }) => state === 'stored' || state === 'failed', 120);
}

it('twelve projects at two servers of which one is killed midway: each import and plan ends once, and nothing is lost or doubled', async () => {
  const [a, b] = [servers.start(), servers.start()];
  const addresses = await Promise.all([a.address, b.address]);
  const paths = await Promise.all(
    projects.map((project) => {
      const content = isGivenShots(project) ? shotsOf(project, covers) : registerOf(project, covers);
      return sendImport(addresses[project % 4 < 2 ? 0 : 1], pathOf(project), 'night.csv', content);
    }),
  );
  const clients = new Addresses(addresses);
  let stored = 0;
  const asked: Promise<Job[]>[] = [];
  const imports = Promise.all(
    projects.map(async (project) => {
      const end = await driveImport(clients, paths[project]);
      stored++;
      // Both servers are asked at once; after one was killed, the other twice.
      const plan = () => clients.call<Job>('POST', `${pathOf(project)}/plans`);
      asked.push(Promise.all([plan(), plan()]));
      return end;
    }),
  );
  await until(
    async () => stored,
    (count) => count >= 3,
    120,
  );
  await servers.kill(a);
  const stayed = addresses[1];
  for (const end of await imports) expect(end).toMatchObject({ state: 'stored' });
  const jobs = (await Promise.all(asked)).flat();
  for (const { id } of jobs) {
    const ended = await until(
      () => call<Job>(stayed, 'GET', `${agency}/jobs/${id}`),
      ({ state }) => state !== 'queued' && state !== 'running',
    );
    expect(ended).toMatchObject({ state: 'done', error: null });
  }
  await check(stayed, jobs);
  const { err } = await stopped(b);
  expect(err).toBe('');
});

async function stopped(server: ReturnType<Servers['start']>) {
  await servers.stopAll();
  return server.ended;
}

/** What has to be so when all has ended. */
async function check(address: string, jobs: readonly Job[]): Promise<void> {
  const { sql } = servers.database;
  for (const project of projects) {
    const id = projectIdOf(project);
    const [found] = await sql`
      select (select count(*)::integer from shots where project_id = ${id}) as shots,
        (select count(*)::integer from project_covers where project_id = ${id}) as covers,
        (select count(*)::integer from project_covers where project_id = ${id} and status = 'raise') as raised,
        (select count(*)::integer from plan_covers where project_id = ${id}) as planned,
        (select count(*)::integer from plans where project_id = ${id}) as plans,
        (select plan_revision from projects where project_id = ${id}) as plan_revision,
        (select input_revision from projects where project_id = ${id}) as input_revision,
        (select planned_input_revision from projects where project_id = ${id}) as planned_revision,
        (select count(*)::integer from jobs where project_id = ${id} and state = 'done' and not unchanged) as changing,
        (select count(*)::integer from jobs where project_id = ${id} and state <> 'done') as not_done,
        (select count(*)::integer from import_events join import_batches using (agency_id, import_batch_id)
          where project_id = ${id} and import_events.state = 'stored') as stored`;
    expect({ id, ...found }).toEqual({
      ...{ id, shots: covers * 8, covers, raised: covers, planned: covers },
      ...{ plans: 1, plan_revision: 1, input_revision: 2, planned_revision: 2, changing: 1, not_done: 0 },
      stored: 1,
    });
  }
  const [left] = await sql`
    select (select count(*)::integer from plan_drafts) as drafts,
      (select count(*)::integer from plan_draft_covers) as draft_rows,
      (select count(*)::integer from plan_changes) as changes,
      (select count(*)::integer from structures) as structures,
      (select count(*)::integer from rim_records) as rims`;
  expect(left).toMatchObject({ drafts: 0, draft_rows: 0, structures: projects.length * covers });
  const registers = projects.filter((project) => !isGivenShots(project)).length;
  expect(left.rims).toBe(registers * covers);
  const kept = await recount(servers.database);
  expect([kept.covers.kept, kept.counts.kept]).toEqual([kept.covers.counted, kept.counts.counted]);
  const ids = [...new Set(jobs.map(({ id }) => id))];
  await until(
    () => sql<{ state: string }[]>`select distinct state from pgboss.job where state <> 'completed'`,
    (states) => states.length === 0,
  );
  const [{ count }] = await sql`select count(*)::integer as count from jobs`;
  // The killed server may have noted one more, whose answer was lost.
  expect(count).toBeGreaterThanOrEqual(ids.length);
  expect(await call(address, 'GET', '/api/ready')).toMatchObject({ status: 'ready' });
}
