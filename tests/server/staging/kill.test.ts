import { mkdtempSync, readdirSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, afterEach, describe, expect, it, vi } from 'vitest';
import type { StagedImport, UploadFile } from '#shared/staged-import.ts';
import type { Surface } from '#shared/surface.ts';
import { type ServerProcess, startServerProcess } from '../../helpers/server-process.ts';

vi.setConfig({ testTimeout: 120_000 });

const folder = mkdtempSync(join(tmpdir(), 'rimplane-kill-'));
const started: ServerProcess[] = [];
let address = '';

afterEach(async () => {
  for (const server of started.splice(0)) {
    server.child.kill('SIGINT');
    await server.ended;
  }
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

async function start(): Promise<ServerProcess> {
  const server = startServerProcess({ DATA_DIR: join(folder, 'data') });
  started.push(server);
  address = await server.address;
  return server;
}

async function kill(server: ServerProcess): Promise<void> {
  server.child.kill('SIGKILL');
  expect((await server.ended).code).toBe('SIGKILL');
}

const projects = '/api/agencies/city-of-tarrowmere/projects';

async function call<Answer>(method: string, path: string, body?: object): Promise<Answer> {
  const answer = await fetch(`${address}${path}`, {
    method,
    ...(body ? { headers: { 'content-type': 'application/json' }, body: JSON.stringify(body) } : {}),
  });
  const text = await answer.text();
  if (!answer.ok) throw new Error(`${method} ${path}: ${text}`);
  return JSON.parse(text) as Answer;
}

async function firstProject(): Promise<string> {
  const { items } = await call<{ items: { id: string }[] }>('GET', projects);
  return `${projects}/${items[0].id}`;
}

/** Points spread over a few streets, so that reading and storing them takes long enough to be met in the middle. */
function points(rows: number): Buffer {
  const lines = ['point,northing,easting,elevation,code'];
  for (let i = 0; i < rows; i++) {
    lines.push(
      `${i + 1},${(3_400_000 + (i % 1000) * 0.7).toFixed(3)},${(500_000 + i / 1000).toFixed(3)},100.25,FG`,
    );
  }
  return Buffer.from(`${lines.join('\n')}\n`);
}

async function announce(project: string, content: Buffer): Promise<string> {
  const { id } = await call<StagedImport>('POST', `${project}/imports`, {
    files: [{ name: 'night.csv', sizeBytes: content.length }],
    target: { stage: 'finished' },
  });
  return `${project}/imports/${id}`;
}

async function send(path: string, content: Buffer, offset = 0, end = content.length): Promise<void> {
  for (let at = offset; at < end; at += 4_000_000) {
    const part = content.subarray(at, Math.min(end, at + 4_000_000));
    const answer = await fetch(`${address}${path}/files/1`, {
      method: 'PATCH',
      headers: { 'content-type': 'application/partial-upload', 'upload-offset': String(at) },
      body: new Uint8Array(part),
    });
    expect(answer.status, await answer.clone().text()).toBe(200);
  }
}

async function until(path: string, isSo: (found: StagedImport) => boolean): Promise<StagedImport> {
  for (let tries = 0; tries < 6000; tries++) {
    const found = await call<StagedImport>('GET', path);
    if (isSo(found)) return found;
    await new Promise((resolve) => setTimeout(resolve, 10));
  }
  throw new Error('It never came to that');
}

const answers = {
  questions: {
    crs: 'project',
    horizontalUnit: 'ft',
    axisOrder: 'asRead',
    verticalUnit: 'm',
    zone: 'project',
  },
};

async function answerAll(path: string): Promise<StagedImport> {
  await until(path, ({ state }) => state === 'ready');
  await call('PATCH', path, answers);
  const found = await until(path, ({ state }) => state === 'ready');
  expect(found.preview!.questions.filter(({ isOpen }) => isOpen)).toEqual([]);
  return found;
}

async function surfaces(project: string): Promise<string> {
  const { items } = await call<{ items: Surface[] }>('GET', `${project}/surfaces`);
  return JSON.stringify(items);
}

describe('a server that is killed', () => {
  it('during an upload keeps the bytes that it answered for, and takes the rest', async () => {
    const content = points(60_000);
    const first = await start();
    const project = await firstProject();
    const before = await surfaces(project);
    const path = await announce(project, content);
    await send(path, content, 0, 1_000_000);
    await kill(first);
    await start();
    const { receivedBytes } = await call<UploadFile>('GET', `${path}/files/1`);
    expect(receivedBytes).toBe(1_000_000);
    const found = await call<StagedImport>('GET', path);
    expect(found).toMatchObject({ state: 'uploading' });
    expect(found.said).toMatch(/server ended during the upload; 1000000 of \d+ bytes are kept/);
    await send(path, content, receivedBytes);
    const ready = await answerAll(path);
    expect(ready.preview!.counts).toMatchObject({ read: 60_000, new: 60_000 });
    expect(await surfaces(project)).toBe(before);
    await call('POST', `${path}/discard`);
  });

  it('while it reads a file stores nothing, says so, and reads it again', async () => {
    const content = points(400_000);
    const first = await start();
    const project = await firstProject();
    const before = await surfaces(project);
    const path = await announce(project, content);
    await send(path, content);
    await until(path, ({ state, progress }) => state === 'reading' && progress.done > 0);
    await kill(first);
    await start();
    const ready = await until(path, ({ state }) => state === 'ready');
    const said = ready.history.map(({ text }) => text);
    expect(said).toContain(
      'The server ended while it was reading the file; nothing was stored, it is being read again',
    );
    expect(ready.preview!.counts.read).toBe(400_000);
    expect(await surfaces(project)).toBe(before);
    await call('POST', `${path}/discard`);
    expect(readdirSync(join(folder, 'data', 'uploads'))).toEqual([]);
  });

  it('while it stores leaves nothing of the import and all that was there, and stores it when asked again', async () => {
    const content = points(400_000);
    const first = await start();
    const project = await firstProject();
    const path = await announce(project, content);
    await send(path, content);
    await answerAll(path);
    const before = await surfaces(project);
    await call('POST', `${path}/commit`);
    await until(path, ({ state, progress }) => state === 'storing' && progress.done > 0);
    await kill(first);
    await start();
    const found = await call<StagedImport>('GET', path);
    expect(found).toMatchObject({
      state: 'ready',
      said: 'The server ended while it was storing; nothing was stored. Store it again',
    });
    expect(await surfaces(project)).toBe(before);
    await call('POST', `${path}/commit`);
    const stored = await until(path, ({ state }) => state === 'stored');
    expect(stored.said).toMatch(/^Stored 400000 new/);
    await call('POST', `${path}/undo`, { changedSince: 'refuse' });
    expect(await surfaces(project)).toBe(before);
  });
});
