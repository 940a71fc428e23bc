import { sql } from 'kysely';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { Job } from '#shared/job.ts';
import { openDatabase } from '../../../server/store/database.ts';
import {
  agencyPath,
  createTestApp,
  projectPath,
  registerCsv,
  shotsCsv,
  type TestApp,
} from '../../helpers/app.ts';
import { made, note, send } from '../../helpers/field.ts';
import { storeFile } from '../../helpers/staged-import.ts';

let test: TestApp;
let base: string;
beforeAll(async () => {
  test = await createTestApp();
  base = await test.app.listen({ host: '127.0.0.1', port: 0 });
  await storeFile(test, 'register.csv', registerCsv(3));
}, 60_000);
afterAll(() => test.close());

interface Event {
  event: string;
  data: Record<string, unknown>;
}

/** Events of a stream until `enough` says so or the server ends it. */
async function listen(
  path: string,
  enough: (events: Event[]) => boolean,
  after?: () => Promise<unknown>,
): Promise<Event[]> {
  const abort = new AbortController();
  const answer = await fetch(base + path, { signal: abort.signal });
  expect(answer.headers.get('content-type')).toBe('text/event-stream');
  const events: Event[] = [];
  let text = '';
  let told = false;
  for await (const chunk of answer.body!.pipeThrough(new TextDecoderStream())) {
    text += chunk;
    for (let end = text.indexOf('\n\n'); end >= 0; end = text.indexOf('\n\n')) {
      const [, event, data] = /^event: (.*)\ndata: (.*)$/.exec(text.slice(0, end)) ?? [];
      if (event) events.push({ event, data: JSON.parse(data) });
      text = text.slice(end + 2);
    }
    if (events.length > 0 && !told) {
      told = true;
      await after?.();
    }
    if (enough(events)) break;
  }
  abort.abort();
  return events;
}

describe('events', () => {
  it('of a job tell its progress and end with it', async () => {
    await storeFile(test, 'shots.csv', shotsCsv(3));
    const job = (await test.inject({ method: 'POST', url: `${projectPath}/plans` })).json<Job>();
    const events = await listen(`${agencyPath}/jobs/${job.id}/events`, () => false);
    expect(events.every(({ event, data }) => event === 'progress' && data.jobId === job.id)).toBe(true);
    expect(events.at(-1)!.data).toEqual({ jobId: job.id, state: 'done', done: 3, total: 3 });
  });

  it('of a job that has ended are its end alone', async () => {
    const { id } = await test.plan();
    const events = await listen(`${agencyPath}/jobs/${id}/events`, () => false);
    expect(events).toEqual([{ event: 'progress', data: { jobId: id, state: 'done', done: 3, total: 3 } }]);
  });

  it('of a project tell its revisions at once and whenever they change', async () => {
    const before = (await test.inject(projectPath)).json();
    const importMore = () => storeFile(test, 'register.csv', registerCsv(4));
    const events = await listen(`${projectPath}/events`, (seen) => seen.length === 2, importMore);
    const { inputRevision, planRevision } = before;
    expect(events).toEqual([
      { event: 'revision', data: { projectId: 'quay-lane', inputRevision, planRevision } },
      { event: 'revision', data: { projectId: 'quay-lane', inputRevision: inputRevision + 1, planRevision } },
    ]);
  });

  it('of a project name the covers that records came of, once for each batch that brought something new', async () => {
    const found = note('C-001', 'found it');
    const plate = made('C-002', 'plated', { plate: 'P-1', rimElevationM: null, ties: [] });
    const sendAll = async () => {
      await send(test, found);
      // The same again says nothing: nothing came.
      await send(test, found);
      await send(test, note('C-003', 'wet'), plate);
    };
    const events = await listen(
      `${projectPath}/events`,
      (seen) => seen.filter(({ event }) => event === 'revision').length === 2,
      sendAll,
    );
    const of = (name: string) => events.filter(({ event }) => event === name).map(({ data }) => data);
    expect(of('record')).toEqual([
      { projectId: 'quay-lane', lastSeq: 1, structureIds: ['C-001'] },
      { projectId: 'quay-lane', lastSeq: 3, structureIds: ['C-003', 'C-002'] },
    ]);
    // A plate moves a status, and nothing else of the project: phones of other nights need not ask for anything.
    expect(of('revision').map((data) => 'byRecords' in data)).toEqual([false, true]);
    const [, later] = await listen(`${projectPath}/events`, (seen) => seen.length === 2);
    expect(later).toEqual({
      event: 'record',
      data: { projectId: 'quay-lane', lastSeq: 3, structureIds: [] },
    });
  });

  it('do not keep a server from closing', async () => {
    const other = await createTestApp();
    const address = await other.app.listen({ host: '127.0.0.1', port: 0 });
    const answer = await fetch(`${address}${projectPath}/events`);
    const started = performance.now();
    await other.close();
    expect(performance.now() - started).toBeLessThan(5000);
    await answer.body!.cancel();
  }, 30_000);

  it('that are opened while the server closes do not hold it up', async () => {
    const other = await createTestApp();
    const address = await other.app.listen({ host: '127.0.0.1', port: 0 });
    const release = await lockProjects(other);
    const answer = fetch(`${address}${projectPath}/events`).then((got) => got.text());
    await oneWaits(other);
    const started = performance.now();
    const closing = other.app.close();
    await release();
    // Ended as soon as it was opened: nothing is said on it.
    expect(await answer).toBe('retry: 2000\n\n');
    await closing;
    await other.close();
    expect(performance.now() - started).toBeLessThan(2500);
  }, 30_000);

  it('that are told anew while the server closes do not hold it up', async () => {
    const other = await createTestApp();
    const address = await other.app.listen({ host: '127.0.0.1', port: 0 });
    const answer = await fetch(`${address}${projectPath}/events`);
    const reader = answer.body!.getReader();
    let text = '';
    while (!text.includes('event: revision')) text += new TextDecoder().decode((await reader.read()).value);
    const release = await lockProjects(other);
    // The connection of the notices breaks: every stream is told anew.
    await sql`select pg_terminate_backend(pid) from pg_stat_activity
      where datname = current_database() and query ilike 'listen%'`.execute(other.database.kysely);
    await oneWaits(other);
    const started = performance.now();
    const closing = other.close();
    await until(() => other.app.endsStreams);
    await release();
    await closing;
    expect(performance.now() - started).toBeLessThan(2500);
    await reader.cancel();
  }, 30_000);
});

/** Whoever looks a project up waits from now on, until the returned function is called. */
async function lockProjects(of: TestApp): Promise<() => Promise<void>> {
  const own = openDatabase(of.database.target);
  const letGo = Promise.withResolvers<void>();
  const isHeld = Promise.withResolvers<void>();
  const held = own.kysely.transaction().execute(async (trx) => {
    await sql`lock table projects in access exclusive mode`.execute(trx);
    isHeld.resolve();
    await letGo.promise;
  });
  await isHeld.promise;
  return async () => {
    letGo.resolve();
    await held;
    await own.close();
  };
}

async function oneWaits(of: TestApp): Promise<void> {
  await until(async () => {
    const { rows } = await sql<{ waits: boolean }>`select exists (select 1 from pg_stat_activity
      where datname = current_database() and wait_event_type = 'Lock') as waits`.execute(of.database.kysely);
    return rows[0]!.waits;
  });
}

async function until(isSo: () => boolean | Promise<boolean>): Promise<void> {
  for (let tries = 0; tries < 400; tries += 1) {
    if (await isSo()) return;
    await new Promise((resolve) => setTimeout(resolve, 25));
  }
  throw new Error('It did not come to that in 10 s');
}
