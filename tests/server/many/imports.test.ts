import { existsSync, readdirSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it, vi } from 'vitest';
import type { StagedImport } from '#shared/staged-import.ts';
import {
  agencyId,
  layProjects,
  pathOf,
  projectIdOf,
  readImport,
  registerOf,
  sendImport,
  shotsOf,
} from '../../helpers/many-imports.ts';
import { recount } from '../../helpers/recount.ts';
import type { ServerProcess } from '../../helpers/server-process.ts';
import { call, openServers, type Servers, until } from '../../helpers/servers.ts';

vi.setConfig({ testTimeout: 120_000, hookTimeout: 120_000 });

let servers: Servers;
beforeAll(async () => {
  servers = await openServers();
  await layProjects(servers.database, 4);
});
afterAll(() => servers.close());

const stateOf = (address: string, path: string) => call<StagedImport>(address, 'GET', path);

/** Rows of a project, and how often its inputs changed. */
async function rowsOf(index: number) {
  const [rows] = await servers.database.sql`
    select (select count(*)::integer from shots where project_id = ${projectIdOf(index)}) as shots,
      (select count(*)::integer from project_covers where project_id = ${projectIdOf(index)}) as covers,
      (select count(*)::integer from structures where structure_id like ${`P${index}-%`}) as structures,
      (select count(*)::integer from structure_events where structure_id like ${`P${index}-%`}) as events,
      (select count(*)::integer from rim_records where structure_id like ${`P${index}-%`}) as rims,
      (select count(*)::integer from surfaces where project_id = ${projectIdOf(index)}) as surfaces,
      (select input_revision from projects where project_id = ${projectIdOf(index)}) as revision`;
  return rows;
}

/**
 * A server that is stopped in the middle of storing, its rows written and not committed, and another one that began
 * after. `table`: where the rows are being written.
 */
async function stopWhileStoring(project: number, content: string, table: 'shots' | 'structures') {
  const first = servers.start();
  const at = await first.address;
  const path = await sendImport(at, pathOf(project), 'night.csv', content);
  await readImport(at, path);
  const before = await rowsOf(project);
  await call(at, 'POST', `${path}/commit`);
  // Reading takes a shared lock; the lock of a row that was written is held until its transaction ends.
  await until(
    () => servers.database.sql<{ held: boolean }[]>`
      select true as held from pg_locks where relation = ${table}::regclass and mode = 'RowExclusiveLock' and granted
        and database = (select oid from pg_database where datname = current_database())`,
    (found) => found.length > 0,
  );
  first.child.kill('SIGSTOP');
  const second = servers.start();
  const address = await second.address;
  expect(await stateOf(address, path)).toMatchObject({ state: 'storing' });
  return { first, second, address, path, before };
}

/** What the queue says of the storing, and how often it was begun. */
async function storingOf(path: string) {
  const [job] = await servers.database.sql<{ state: string; retry_count: number }[]>`
    select state, retry_count from pgboss.job
    where name = 'import' and data ->> 'importId' = ${path.split('/').at(-1)!} and data ->> 'task' = 'store'`;
  return job;
}

const covers = 8000;
const shotsEach = 12;
const files = {
  shots: () => ({
    content: shotsOf(0, covers, shotsEach),
    rows: { shots: covers * shotsEach, covers: 0, structures: 0, events: 0, rims: 0, surfaces: 1 },
  }),
  structures: () => ({
    content: registerOf(1, covers),
    rows: { shots: 0, covers, structures: covers, events: covers, rims: covers, surfaces: 0 },
  }),
} as const;

const partsOf = (path: string): string[] => {
  const folder = join(servers.dataFolder, 'uploads', path.split('/').at(-1)!);
  return existsSync(folder) ? readdirSync(folder).filter((name) => name.endsWith('.part')) : [];
};

async function endWell(address: string, path: string, server: ServerProcess): Promise<void> {
  await until(
    () => storingOf(path),
    ({ state }) => state === 'completed',
  );
  expect(await stateOf(address, path)).toMatchObject({ state: 'stored' });
  // What was refused may still be asked for; the file itself goes.
  await until(
    async () => partsOf(path),
    (parts) => parts.length === 0,
  );
  await servers.stopAll();
  // Nothing that went wrong was written to the log.
  expect((await server.ended).err).toBe('');
}

describe('an import whose server goes while it stores', () => {
  it.each(['shots', 'structures'] as const)(
    'killed, its %s are stored by the other server, each row once',
    async (table) => {
      const project = table === 'shots' ? 0 : 1;
      const { content, rows } = files[table]();
      const { first, second, address, path, before } = await stopWhileStoring(project, content, table);
      await servers.kill(first);
      // Nothing of it is there before the other server takes it up.
      expect(await rowsOf(project)).toEqual(before);
      const stored = await until(
        () => stateOf(address, path),
        ({ state }) => state !== 'storing',
      );
      expect(stored.state).toBe('stored');
      expect(stored.said).toMatch(new RegExp(`^Stored ${rows[table]} new and 0 changed ${table}`));
      expect(stored.history.filter(({ state }) => state === 'stored')).toHaveLength(1);
      expect(await rowsOf(project)).toEqual({ ...rows, revision: before.revision + 1 });
      expect((await storingOf(path)).retry_count).toBeGreaterThan(0);
      await endWell(address, path, second);
      const { covers: tiles, counts } = await recount(servers.database);
      expect([tiles.kept.length, counts.kept]).toEqual([tiles.counted.length, counts.counted]);
    },
  );

  it('frozen until the other server has taken it up, and then going on, is stored once', async () => {
    const { first, second, address, path, before } = await stopWhileStoring(
      2,
      registerOf(2, covers),
      'structures',
    );
    // The frozen server's transaction holds the project, so the other one waits for it.
    await until(
      () => storingOf(path),
      ({ state, retry_count: tries }) => state === 'active' && tries > 0,
    );
    first.child.kill('SIGCONT');
    const stored = await until(
      () => stateOf(address, path),
      ({ state }) => state !== 'storing',
    );
    expect(stored.said).toMatch(new RegExp(`^Stored ${covers} new`));
    await until(
      () => storingOf(path),
      ({ state }) => state === 'completed',
    );
    expect(await rowsOf(2)).toMatchObject({
      ...{ covers, structures: covers, events: covers, rims: covers },
      revision: before.revision + 1,
    });
    const [{ changes }] = await servers.database.sql`
      select count(*)::integer as changes from import_changes
      where agency_id = ${agencyId} and import_batch_id = ${path.split('/').at(-1)!} and kind = 'structure'`;
    expect(changes).toBe(covers);
    expect((await stateOf(address, path)).history.filter(({ state }) => state === 'stored')).toHaveLength(1);
    await endWell(address, path, second);
    expect((await first.ended).code).toBe(0);
  });
});
