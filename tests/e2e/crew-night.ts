import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Browser, Page } from 'playwright-core';
import { expect } from 'vitest';
import type { AnyKept, AnyMade } from '#core/field/facts.ts';
import type { CoverCard } from '#shared/cover.ts';
import { nightText } from '../../web/night-words.ts';
import { type ServerProcess, startServerProcess } from '../helpers/server-process.ts';
import { openPage } from './running.ts';

/** A real server with the invented town, one night of which is given to a crew. */
export interface NightServer {
  address: () => string;
  /** API path of the project. */
  project: () => string;
  kill: () => Promise<void>;
  restart: () => Promise<void>;
  read: <Answer>(path: string) => Promise<Answer>;
  send: (method: string, path: string, body: unknown, headers?: Record<string, string>) => Promise<Response>;
  records: () => Promise<AnyKept[]>;
  stop: () => Promise<void>;
}

export const night = '2031-05-06';
export const crew = 'North';

export async function startNight(): Promise<NightServer> {
  const folder = mkdtempSync(join(tmpdir(), 'rimplane-night-'));
  let server: ServerProcess;
  let [address, project] = ['', ''];
  const start = async (port: string) => {
    server = startServerProcess({ PORT: port, DATA_DIR: join(folder, 'data'), WEB_BUILD: 'auto' });
    address = (await server.address).replace(/\/$/, '');
  };
  const read = async <Answer>(path: string) =>
    (await (await fetch(`${address}/api${path}`)).json()) as Answer;
  await start('0');
  const [agency] = (await read<{ items: { id: string }[] }>('/agencies')).items;
  const [demo] = (await read<{ items: { id: string }[] }>(`/agencies/${agency.id}/projects`)).items;
  project = `/agencies/${agency.id}/projects/${demo.id}`;
  return {
    address: () => address,
    project: () => project,
    read,
    kill: async () => {
      server.child.kill('SIGKILL');
      await server.ended;
    },
    restart: () => start(new URL(address).port),
    send: (method, path, body, headers = {}) =>
      fetch(`${address}/api${path}`, {
        method,
        headers: { 'content-type': 'application/json', ...headers },
        body: JSON.stringify(body),
      }),
    records: async () => (await read<{ items: AnyKept[] }>(`${project}/field-records?limit=500`)).items,
    stop: async () => {
      server.child.kill('SIGINT');
      await server.ended;
      rmSync(folder, { recursive: true, force: true });
    },
  };
}

/** Gives the night's crew covers that are to be raised on rings; their cards in driving order. */
export async function assignNight(server: NightServer, count: number): Promise<CoverCard[]> {
  const { items } = await server.read<{ items: { id: string }[] }>(
    `${server.project()}/covers?status=raise&limit=60`,
  );
  const ids: string[] = [];
  for (const { id } of items) {
    const card = await server.read<CoverCard>(`${server.project()}/covers/${encodeURIComponent(id)}`);
    if ((card.plan?.stack.length ?? 0) >= 1 && card.structure.rimElevationM !== null) ids.push(id);
    if (ids.length === count) break;
  }
  const body = { selection: { ids }, crew, night };
  const answer = await server.send('POST', `${server.project()}/covers/assign`, body);
  expect(answer.status).toBe(200);
  const { cards } = await server.read<{ cards: CoverCard[] }>(
    `${server.project()}/crew-night?night=${night}&crew=${crew}`,
  );
  expect(cards).toHaveLength(count);
  return cards;
}

export interface PhoneOptions {
  name: string;
  size?: [number, number];
  /** What is done before the page is asked for. */
  before?: (page: Page) => Promise<void>;
}

/** A phone of its own with the night on it and the page kept. */
export async function phone(
  browser: Browser,
  server: NightServer,
  { name, size = [390, 844], before }: PhoneOptions,
) {
  const watched = await openPage(browser, ...size);
  const { page } = watched;
  await before?.(page);
  await page.goto(`${server.address()}/crew`);
  await page.getByLabel('Your name').fill(name);
  await page.getByRole('button', { name: 'That is me' }).click();
  await page.getByRole('button', { name: new RegExp(`${nightText(night)}, ${crew}`) }).click();
  await page.locator('.crew-list li').first().waitFor();
  await page.waitForFunction(() => navigator.serviceWorker.controller !== null, null, { timeout: 60_000 });
  return watched;
}

export const bar = (page: Page) => page.locator('.crew-bar').textContent();

export async function openCover(page: Page, id: string): Promise<void> {
  await page.locator('.crew-list').getByRole('link', { name: id }).click();
  const first = page.getByRole('button', { name: 'Read, go to the cover' });
  await page.locator('.hole').waitFor();
  if ((await first.count()) > 0) await first.click();
}

export const toList = (page: Page) => page.getByRole('link', { name: 'Tonight’s list' }).click();

/** Records that wait on the phone's own disk, in the order in which they were made. */
export const waitingOn = (page: Page): Promise<AnyMade[]> =>
  page.evaluate(
    () =>
      new Promise((resolve, reject) => {
        const request = indexedDB.open('rimplane-crew');
        request.onerror = () => reject(request.error);
        request.onsuccess = () => {
          const all = request.result.transaction('outbox').objectStore('outbox').getAll();
          all.onerror = () => reject(all.error);
          all.onsuccess = () => resolve(all.result.map(({ record }) => record));
        };
      }),
  );
