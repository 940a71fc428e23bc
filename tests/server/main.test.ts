import { existsSync, mkdtempSync, rmSync } from 'node:fs';
import net from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, afterEach, describe, expect, it, vi } from 'vitest';
import { planningStatuses } from '#shared/plan.ts';
import type { Project } from '#shared/project.ts';
import type { Structure } from '#shared/structure.ts';
import { isAlive, postmasterOf, type ServerProcess, startServerProcess } from '../helpers/server-process.ts';

vi.setConfig({ testTimeout: 30_000 });

/** mkdtemp makes folders that only their owner may enter: as root this is the case of a closed home. */
const closed = mkdtempSync(join(tmpdir(), 'rimplane-main-'));
const data = join(closed, 'data');
const started: ServerProcess[] = [];

function start(env: Record<string, string> = {}): ServerProcess {
  const server = startServerProcess({ DATA_DIR: data, ...env });
  started.push(server);
  return server;
}

async function stop(server: ServerProcess, signal: NodeJS.Signals = 'SIGINT') {
  server.child.kill(signal);
  return server.ended;
}

afterEach(async () => {
  for (const server of started.splice(0)) await stop(server);
});
afterAll(() => rmSync(closed, { recursive: true, force: true }));

const agency = '/api/agencies/city-of-tarrowmere';

async function firstProject(address: string): Promise<Project> {
  const { items } = (await (await fetch(`${address}${agency}/projects`)).json()) as { items: Project[] };
  return items[0];
}

async function patchFirst(address: string, setDownM: number): Promise<Structure> {
  const { items } = (await (await fetch(`${address}${agency}/structures?limit=1`)).json()) as {
    items: Structure[];
  };
  const answer = await fetch(`${address}${agency}/structures/${items[0].id}`, {
    method: 'PATCH',
    headers: { 'content-type': 'application/json', 'if-match': '*' },
    body: JSON.stringify({ setDownM }),
  });
  expect(answer.status).toBe(200);
  return (await answer.json()) as Structure;
}

describe('a server with a PostgreSQL of its own', () => {
  it('on a first start shows the demo planned, with every planning status, and says one line', async () => {
    const server = start();
    const { statusCounts, coverCount, planStale } = await firstProject(await server.address);
    expect(coverCount).toBeGreaterThan(150);
    // Covers of the demo's crew were sent out.
    expect(Object.keys(statusCounts).sort()).toEqual([...planningStatuses, 'planned'].sort());
    expect(planStale).toBe(false);
    const postmaster = postmasterOf(data)!;
    expect(isAlive(postmaster)).toBe(true);
    const { code, out, err } = await stop(server);
    expect(code).toBe(0);
    expect(out.trim().split('\n')).toHaveLength(1);
    expect(err).toBe('');
    expect(isAlive(postmaster)).toBe(false);
    expect(existsSync(join(data, 'postgres', 'postmaster.pid'))).toBe(false);
  });

  it('keeps what it was told before a kill -9, and stops the PostgreSQL that was left behind', async () => {
    const killed = start();
    const { id, setDownM, version } = await patchFirst(await killed.address, 0.004);
    const orphan = postmasterOf(data)!;
    expect((await stop(killed, 'SIGKILL')).code).toBe('SIGKILL');
    expect(isAlive(orphan)).toBe(true);
    const next = start();
    const found = await fetch(`${await next.address}${agency}/structures/${id}`);
    expect(await found.json()).toMatchObject({ setDownM, version });
    expect(isAlive(orphan)).toBe(false);
    expect(postmasterOf(data)).not.toBeNull();
  });

  it('recovers when it and its PostgreSQL were both killed', async () => {
    const killed = start();
    const { id, version } = await patchFirst(await killed.address, 0.005);
    const postmaster = postmasterOf(data)!;
    killed.child.kill('SIGKILL');
    process.kill(postmaster, 'SIGKILL');
    await killed.ended;
    const next = start();
    const found = await fetch(`${await next.address}${agency}/structures/${id}`);
    expect(await found.json()).toMatchObject({ setDownM: 0.005, version });
  });

  it('ends, saying so, when its PostgreSQL ends by itself', async () => {
    const server = start();
    await server.address;
    process.kill(postmasterOf(data)!, 'SIGINT');
    const { code, err } = await server.ended;
    expect(code).toBe(1);
    expect(err).toContain('PostgreSQL ended by itself');
  });

  it('has its folder for itself', async () => {
    const first = start();
    await first.address;
    const { code, err } = await start().ended;
    expect(code).toBe(1);
    expect(err.trim()).toBe(`Another Rimplane server is running with DATA_DIR ${data}: stop it first`);
    expect(await firstProject(await first.address)).toBeDefined();
  });

  it('stops cleanly on SIGTERM too, and when told twice', async () => {
    const server = start();
    await server.address;
    server.child.kill('SIGTERM');
    server.child.kill('SIGINT');
    expect((await server.ended).code).toBe(0);
    expect(postmasterOf(data)).toBeNull();
  });

  it('stops cleanly while it is still starting', async () => {
    const server = start();
    await new Promise((resolve) => setTimeout(resolve, 700));
    await stop(server);
    expect(postmasterOf(data)).toBeNull();
  });

  it('works in a folder whose name is too long for the address of a socket', async () => {
    const long = join(closed, 'a'.repeat(100), 'data');
    const server = start({ DATA_DIR: long, DEMO: 'off' });
    const health = await fetch(`${await server.address}/api/health`);
    expect(health.status).toBe(200);
    expect(await (await fetch(`${await server.address}/api/agencies`)).json()).toEqual({ items: [] });
  });
});

describe('a start that cannot be', () => {
  it.each([
    [{ HOST: '0.0.0.0' }, /^HOST is "0.0.0.0": .* no accounts/],
    [{ PORT: 'http' }, /^PORT is "http"/],
    [{ DATA_DIR: '/proc/rimplane' }, /^DATA_DIR \/proc\/rimplane cannot be used/],
    [
      { DATABASE_URL: 'postgres://nobody@127.0.0.1:1/none' },
      /^DATABASE_URL leads to no database: .*ECONNREFUSED/,
    ],
  ])('with %j says why in one line and leaves nothing running', async (env, message) => {
    const { code, out, err } = await startServerProcess({ DATA_DIR: join(closed, 'unused'), ...env }).ended;
    expect(code).toBe(1);
    expect(out).toBe('');
    expect(err.trim()).toMatch(message);
    expect(err.trim().split('\n')).toHaveLength(1);
    expect(existsSync(join(closed, 'unused'))).toBe(false);
  });

  it('on a port that is taken names PORT and stops its PostgreSQL', async () => {
    const taken = net.createServer();
    await new Promise<void>((resolve) => taken.listen(0, '127.0.0.1', resolve));
    const { port } = taken.address() as net.AddressInfo;
    const { code, err } = await start({ PORT: String(port) }).ended;
    taken.close();
    expect(code).toBe(1);
    expect(err.trim()).toMatch(new RegExp(`^PORT ${port} is taken`));
    expect(postmasterOf(data)).toBeNull();
  });
});
