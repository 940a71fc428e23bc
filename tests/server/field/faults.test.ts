import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as pause } from 'node:timers/promises';
import { afterAll, expect, it, vi } from 'vitest';
import { type CoverState, stateOfCover } from '#core/field/coverState.ts';
import type { AnyKept, AnyMade } from '#core/field/facts.ts';
import type { CoverRow } from '#shared/cover.ts';
import type { FieldRecordReceipt } from '#shared/field-record.ts';
import type { Project } from '#shared/project.ts';
import { made } from '../../helpers/field.ts';
import { postmasterOf, type ServerProcess, startServerProcess } from '../../helpers/server-process.ts';

/**
 * Eight phones against one server that is killed, and whose PostgreSQL is, again and again (in the way of Jepsen: a request
 * that got no answer may or may not have been done). What was acknowledged is there, once, at the place that was said.
 */
vi.setConfig({ testTimeout: 240_000 });

const folder = mkdtempSync(join(tmpdir(), 'rimplane-field-'));
let server: ServerProcess;
let address = '';
afterAll(async () => {
  server.child.kill('SIGINT');
  await server.ended;
  rmSync(folder, { recursive: true, force: true });
});

const dataFolder = join(folder, 'data');
async function start(): Promise<void> {
  server = startServerProcess({ DATA_DIR: dataFolder });
  address = await server.address;
}

const phones = 8;
const rounds = 3;

interface Told {
  record: AnyMade;
  seq: number;
  receivedAt: string;
  /** Times that it was sent. */
  sent: number;
}

/** Sends a batch until it is answered, as an outbox does. */
async function deliver(path: string, records: AnyMade[], isOver: () => boolean): Promise<Told[] | null> {
  for (let sent = 1; ; sent++) {
    try {
      const answer = await fetch(`${address}${path}`, {
        method: 'POST',
        headers: { 'content-type': 'application/json' },
        body: JSON.stringify({ records }),
        signal: AbortSignal.timeout(10_000),
      });
      if (answer.ok) {
        const { items } = (await answer.json()) as FieldRecordReceipt;
        const refused = items.filter(({ outcome }) => outcome === 'refused');
        expect(refused).toEqual([]);
        return items.map(({ seq, receivedAt }, index) => ({
          record: records[index],
          seq: seq!,
          receivedAt: receivedAt!,
          sent,
        }));
      }
      expect(answer.status).toBeGreaterThanOrEqual(500);
    } catch (error) {
      if ((error as Error).name === 'AssertionError') throw error;
    }
    if (isOver() && sent > 200) return null;
    await pause(50);
  }
}

/** Sets, checks and takes back covers in turn, some of them the same as other phones. */
async function work(path: string, phone: number, ids: string[], isOver: () => boolean): Promise<Told[]> {
  const device = `00000000-0000-4000-8000-00000000000${phone}`;
  const told: Told[] = [];
  for (let turn = 0; !isOver(); turn++) {
    const id = ids[(phone + turn * 3) % ids.length];
    const rest = { device, by: `Phone ${phone}`, seen: told.at(-1)?.seq ?? 0 };
    const error = (phone - 4) / 500;
    const set = made(id, 'frameSet', { centred: true, offsetM: null }, rest);
    const batch = [
      set,
      made(
        id,
        'rimChecked',
        { method: 'level', rimErrorsM: [error, error, error, error], sigmaM: 0.001 },
        rest,
      ),
      ...(turn % 3 === 0 ? [made(id, 'withdrawn', { record: set.id, reason: 'again' }, rest)] : []),
    ];
    const answered = await deliver(path, batch, isOver);
    expect(answered, 'a batch never came through').not.toBeNull();
    told.push(...answered!);
  }
  return told;
}

it('no acknowledged record is lost or kept twice while server and PostgreSQL are killed', async () => {
  await start();
  const root = '/api/agencies/city-of-tarrowmere/projects';
  const read = async <Answer>(path: string) => (await (await fetch(`${address}${path}`)).json()) as Answer;
  const { items: projects } = await read<{ items: Project[] }>(root);
  const project = `${root}/${projects[0].id}`;
  const { items: rows } = await read<{ items: CoverRow[] }>(`${project}/covers?limit=12`);
  let over = false;
  const ids = rows.map(({ id }) => id);
  const crews = Array.from({ length: phones }, (_, phone) =>
    work(`${project}/field-records`, phone, ids, () => over),
  );
  let [kills, restarts] = [0, 0];
  for (let round = 0; round < rounds; round++) {
    await pause(1200 + 300 * round);
    if (round % 2 === 0) {
      server.child.kill('SIGKILL');
      kills++;
    } else {
      // The server brings its PostgreSQL and ends with it, in words; both are started anew.
      process.kill(postmasterOf(dataFolder)!, 'SIGQUIT');
      restarts++;
    }
    await server.ended;
    await start();
  }
  await pause(1000);
  over = true;
  const told = (await Promise.all(crews)).flat();
  const kept: AnyKept[] = [];
  for (let next: string | null = `${project}/field-records?limit=2000`; next; ) {
    const page: { items: AnyKept[]; next: string | null } = await read(next);
    kept.push(...page.items);
    next = page.next;
  }
  const again = told.filter(({ sent }) => sent > 1).length;
  console.log(
    `${told.length} records acknowledged, ${again} of them sent more than once; ${kills} kills, ${restarts} ends of PostgreSQL`,
  );
  expect(again).toBeGreaterThan(0);
  const byId = Map.groupBy(kept, ({ id }) => id);
  expect([...byId.values()].filter((same) => same.length > 1)).toEqual([]);
  expect(kept.map(({ seq }) => seq)).toEqual(kept.map((_, index) => index + 1));
  for (const { record, seq, receivedAt } of told)
    expect(byId.get(record.id)?.[0]).toEqual({ ...record, seq, receivedAt });
  expect(kept).toHaveLength(told.length);
  expectOrderOfDevices(told, kept);
  await expectStates(await read(`${project}/covers?limit=2000`), projects[0], kept);
});

function expectOrderOfDevices(told: Told[], kept: AnyKept[]): void {
  const order = new Map(kept.map(({ id, seq }) => [id, seq]));
  for (const own of Map.groupBy(told, ({ record }) => record.device).values()) {
    const seqs = own.map(({ record }) => order.get(record.id)!);
    expect(seqs).toEqual(seqs.toSorted((a, b) => a - b));
  }
}

/** Each cover's status is what its records come to, worked out from all of them at once. */
async function expectStates(
  { items }: { items: CoverRow[] },
  { limits }: Project,
  kept: AnyKept[],
): Promise<void> {
  const states = new Map<string, CoverState>();
  for (const [id, records] of Map.groupBy(kept, ({ structureId }) => structureId)) {
    const limit = { proud: limits.acceptProudM.value, low: limits.acceptLowM.value };
    states.set(id, stateOfCover(records, { sent: false, limits: limit }));
  }
  const touched = items.filter(({ id }) => states.has(id));
  expect(touched.length).toBeGreaterThan(5);
  expect(touched.map(({ id, fieldStatus, conflict }) => [id, fieldStatus, conflict])).toEqual(
    touched.map(({ id }) => [id, states.get(id)!.status, states.get(id)!.conflicts.length > 0]),
  );
}
