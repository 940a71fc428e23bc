import { mkdirSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { AnyKept } from '#core/field/facts.ts';
import { nightText } from '../../web/night-words.ts';
import { type ServerProcess, startServerProcess } from '../helpers/server-process.ts';
import { goTo, openStep } from './hole-page/hand.ts';
import { browserPath, eventually, openPage, startBrowser, violationsOf } from './running.ts';

const night = '2031-05-06';
const shots = process.env.SCREENSHOTS;

describe.skipIf(browserPath === null)('a crew’s night on its phones', { timeout: 180_000 }, () => {
  const folder = mkdtempSync(join(tmpdir(), 'rimplane-crew-'));
  let server: ServerProcess;
  let browser: Browser;
  let [address, project] = ['', ''];
  let ids: string[] = [];

  const start = async (port: string) => {
    server = startServerProcess({ PORT: port, DATA_DIR: join(folder, 'data'), WEB_BUILD: 'auto' });
    address = (await server.address).replace(/\/$/, '');
  };
  const kill = async () => {
    server.child.kill('SIGKILL');
    await server.ended;
  };
  const read = async (path: string) => (await fetch(`${address}/api${path}`)).json();
  const recordsAt = async (): Promise<AnyKept[]> => (await read(`${project}/field-records`)).items;

  beforeAll(async () => {
    if (shots) mkdirSync(shots, { recursive: true });
    [browser] = await Promise.all([startBrowser(), start('0')]);
    const [agency] = (await read('/agencies')).items;
    const [demo] = (await read(`/agencies/${agency.id}/projects`)).items;
    project = `/agencies/${agency.id}/projects/${demo.id}`;
    const covers = (await read(`${project}/covers?status=raise&limit=4`)).items as { id: string }[];
    ids = covers.map(({ id }) => id);
    const answer = await fetch(`${address}/api${project}/covers/assign`, {
      method: 'POST',
      headers: { 'content-type': 'application/json' },
      body: JSON.stringify({ selection: { ids }, crew: 'North', night }),
    });
    expect(answer.status).toBe(200);
  }, 150_000);
  afterAll(async () => {
    await browser?.close();
    server?.child.kill('SIGINT');
    await server?.ended;
    rmSync(folder, { recursive: true, force: true });
  }, 60_000);

  /** A phone of its own, with the night on it and the page kept. */
  async function phone(name: string): Promise<Page> {
    const { page } = await openPage(browser, 390, 844);
    await page.goto(`${address}/crew`);
    await page.getByLabel('Your name').fill(name);
    await page.getByRole('button', { name: 'That is me' }).click();
    await page.getByRole('button', { name: new RegExp(`${nightText(night)}, North.*4 covers`) }).click();
    await eventually(() => page.locator('.crew-list li').count()).toBe(4);
    await page.waitForFunction(() => navigator.serviceWorker.controller !== null);
    return page;
  }
  const bar = (page: Page) => page.locator('.crew-bar').textContent();
  const open = async (page: Page, id: string) => {
    await page.locator('.crew-list').getByRole('link', { name: id }).click();
    await page.getByRole('button', { name: 'Read, go to the cover' }).click();
  };
  const find = async (page: Page, word: string, button: string) => {
    await goTo(page, 'Steps');
    await openStep(page, 'Find it');
    await page.getByText(word, { exact: true }).click();
    await page.getByRole('button', { name: button }).click();
  };
  const back = (page: Page) => page.getByRole('link', { name: 'Tonight’s list' }).click();

  it('records with the server killed, keeps it through a reload, and sends each once and in order', async () => {
    const page = await phone('R. Pell');
    if (shots) await page.screenshot({ path: join(shots, 'list-390.png') });
    expect(await violationsOf(page)).toEqual([]);
    await kill();
    await page.reload();
    await eventually(() => page.locator('.crew-list li').count()).toBe(4);
    for (const id of ids.slice(0, 3)) {
      await open(page, id);
      await find(page, 'Found', 'Record: found');
      await openStep(page, 'Paving stage');
      await page.getByText('Milled').click();
      await page.getByText('Left low').click();
      await page.getByRole('button', { name: 'Record this stage' }).click();
      if (shots) await page.screenshot({ path: join(shots, 'cover-390.png') });
      await back(page);
    }
    await eventually(() => bar(page)).toMatch(/No signal.*6 unsent, safe on this phone/);
    await page.reload();
    await eventually(() => bar(page)).toMatch(/No signal.*6 unsent, safe on this phone/);
    await page.locator('.crew-bar').click();
    await eventually(() => page.locator('.crew-rows li').count()).toBe(6);
    if (shots) await page.screenshot({ path: join(shots, 'unsent-390.png') });
    expect(await violationsOf(page)).toEqual([]);
    await start(new URL(address).port);
    await eventually(() => bar(page)).toMatch(/Signal.*All sent/);
    const records = await recordsAt();
    expect(records.map(({ structureId, kind }) => `${structureId} ${kind}`)).toEqual(
      ids.slice(0, 3).flatMap((id) => [`${id} found`, `${id} liftReached`]),
    );
    expect(new Set(records.map(({ id }) => id)).size).toBe(6);
    await page.context().close();
  });

  it('shows on both phones where they disagree, loses neither, and takes a named person’s word', async () => {
    const [one, two] = [await phone('A. Quill'), await phone('B. Tarn')];
    for (const page of [one, two]) await page.context().setOffline(true);
    await open(one, ids[3]);
    await find(one, 'Found', 'Record: found');
    await open(two, ids[3]);
    await find(two, 'Not found', 'Record: not found. No stack here.');
    for (const page of [one, two]) await page.context().setOffline(false);
    for (const page of [one, two]) {
      await page.getByRole('link', { name: 'Two phones disagree: choose one' }).click();
      await eventually(() => page.locator('.crew-conflicts').textContent()).toMatch(
        /Found.*A\. Quill.*Not found.*B\. Tarn|Not found.*B\. Tarn.*Found.*A\. Quill/,
      );
      expect(await violationsOf(page)).toEqual([]);
    }
    if (shots) await one.screenshot({ path: join(shots, 'conflict-390.png') });
    await one.getByRole('radio', { name: /Not found/ }).check();
    await one.getByLabel('Why this one').fill('Dug at the ties: there is asphalt over it');
    await one.getByRole('button', { name: 'This one holds' }).click();
    for (const page of [one, two]) await page.getByText('Nothing disagrees here any more').waitFor();
    const here = (await recordsAt()).filter(({ structureId }) => structureId === ids[3]);
    expect(here.map(({ kind }) => kind)).toEqual(['found', 'found', 'settled']);
    expect(here[2].by).toBe('A. Quill');
  });
});
