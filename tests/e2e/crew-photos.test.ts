import { createHash } from 'node:crypto';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { AnyKept } from '#core/field/facts.ts';
import { nightText } from '../../web/night-words.ts';
import { type ServerProcess, startServerProcess } from '../helpers/server-process.ts';
import { noisePicture } from './hole-page/camera.ts';
import { browserPath, eventually, startBrowser } from './running.ts';

const night = '2031-05-08';

describe.skipIf(browserPath === null)('what a phone keeps until it is sent', { timeout: 180_000 }, () => {
  const folder = mkdtempSync(join(tmpdir(), 'rimplane-crew-photos-'));
  let server: ServerProcess;
  let browser: Browser;
  let page: Page;
  let [address, agencyPath, project] = ['', '', ''];
  let ids: string[] = [];

  const start = async (port: string) => {
    server = startServerProcess({ PORT: port, DATA_DIR: join(folder, 'data'), WEB_BUILD: 'auto' });
    address = (await server.address).replace(/\/$/, '');
  };
  const read = async (path: string) => (await fetch(`${address}/api${path}`)).json();
  const bar = () => page.locator('.crew-bar').textContent();
  const toCover = async (on: Page, id: string) => {
    await on.goto(`${address}/crew#/${encodeURIComponent(id)}`);
    const back = on.getByRole('button', { name: 'Back', exact: true });
    if (await back.isVisible()) await back.click();
    await on.locator('.crew-way').waitFor();
    const care = on.getByRole('button', { name: 'Read, go to the cover' });
    if (await care.isVisible()) await care.click();
  };
  beforeAll(async () => {
    [browser] = await Promise.all([startBrowser(), start('0')]);
    const [agency] = (await read('/agencies')).items;
    const [demo] = (await read(`/agencies/${agency.id}/projects`)).items;
    agencyPath = `/agencies/${agency.id}`;
    project = `${agencyPath}/projects/${demo.id}`;
    const covers = (await read(`${project}/covers?status=raise&limit=3`)).items as { id: string }[];
    ids = covers.map(({ id }) => id);
    const answer = await fetch(`${address}/api${project}/covers/assign`, {
      method: 'POST',
      headers: { 'content-type': 'application/json' },
      body: JSON.stringify({ selection: { ids }, crew: 'East', night }),
    });
    expect(answer.status).toBe(200);
    const context = await browser.newContext({ viewport: { width: 390, height: 844 } });
    page = await context.newPage();
    page.setDefaultTimeout(8000);
    await page.goto(`${address}/crew`);
    await page.getByLabel('Your name').fill('E. Varr');
    await page.getByRole('button', { name: 'That is me' }).click();
    await page.getByRole('button', { name: new RegExp(`${nightText(night)}, East.*3 covers`) }).click();
    await page.locator('.crew-list li').nth(2).waitFor();
    await page.waitForFunction(() => navigator.serviceWorker.controller !== null);
  }, 150_000);
  afterAll(async () => {
    await browser?.close();
    server?.child.kill('SIGINT');
    await server?.ended;
    rmSync(folder, { recursive: true, force: true });
  }, 60_000);

  it('keeps a picture without a signal, saves it to a file, and sends what is missing of it after a cut', async () => {
    await page.context().setOffline(true);
    await toCover(page, ids[0]);
    await page.getByRole('button', { name: 'Photo', exact: true }).click();
    const buffer = await noisePicture(page, 640);
    await page
      .locator('input[type=file]')
      .last()
      .setInputFiles({ name: 'seat.png', mimeType: 'image/png', buffer });
    await page.getByLabel('What it shows').fill('Seat');
    await page.getByRole('button', { name: 'Keep it' }).click();
    await eventually(bar).toMatch(/No signal.*2 unsent/);
    await page.reload();
    await eventually(bar).toMatch(/No signal.*2 unsent/);

    await page.locator('.crew-bar').click();
    const saving = page.waitForEvent('download');
    await page.getByRole('button', { name: /Save all of it as a file/ }).click();
    const file = await saving;
    const saved = JSON.parse(readFileSync(await file.path(), 'utf8'));
    expect(saved.records.map(({ record }: { record: AnyKept }) => record.kind)).toEqual(['photo']);
    expect(saved.pictures).toHaveLength(1);
    const [{ sha256, dataUrl }] = saved.pictures;
    const picture = Buffer.from(dataUrl.split(',')[1], 'base64');
    expect(createHash('sha256').update(picture).digest('hex')).toBe(sha256);
    expect(picture.length).toBeGreaterThan(100_000);

    // The line was cut after the first part of it: the server has that part, and the phone was never told.
    const first = picture.subarray(0, 60_000);
    const part = await fetch(`${address}/api${agencyPath}/photos/${sha256}`, {
      method: 'PATCH',
      headers: {
        'content-type': 'image/jpeg',
        'upload-offset': '0',
        'upload-length': String(picture.length),
        'upload-complete': '?0',
      },
      body: first,
    });
    expect(part.ok).toBe(true);
    const sent: (string | undefined)[] = [];
    page.on('request', (request) => {
      if (request.method() === 'PATCH') sent.push(request.headers()['upload-offset']);
    });
    await page.context().setOffline(false);
    await eventually(bar).toMatch(/Signal.*All sent/);
    expect(sent).toEqual(['60000']);
    const there = await fetch(`${address}/api${agencyPath}/photos/${sha256}`);
    expect(Buffer.from(await there.arrayBuffer()).equals(picture)).toBe(true);
  });
});
