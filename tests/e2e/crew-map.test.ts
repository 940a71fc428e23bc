import { mkdirSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Map as StreetMap } from 'maplibre-gl';
import { type Browser, chromium, type Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { nightText } from '../../web/night-words.ts';
import { chromiumArguments } from '../helpers/chromium.ts';
import { type ServerProcess, startServerProcess } from '../helpers/server-process.ts';
import { goTo, openStep } from './hole-page/hand.ts';
import { browserPath, eventually, openPage, startBrowser, violationsOf } from './running.ts';

const night = '2031-05-07';
const shots = process.env.SCREENSHOTS;

type WithMap = Window & { rimplaneNightMap?: StreetMap };

/** Covers that the map has painted, with their signs and numbers. */
const drawn = (page: Page) =>
  page.evaluate(() => {
    const map = (window as unknown as WithMap).rimplaneNightMap;
    if (!map?.getLayer('covers')) return [];
    const found = map.queryRenderedFeatures({ layers: ['covers'] });
    return found.map(({ properties: { id, status, number } }) => `${number} ${id} ${status}`).sort();
  });

/** Where a cover lies on the page, in its pixels. */
const pixelOf = (page: Page, id: string) =>
  page.evaluate((wanted) => {
    const map = (window as unknown as WithMap).rimplaneNightMap!;
    const found = map
      .queryRenderedFeatures({ layers: ['covers'] })
      .find(({ properties }) => properties.id === wanted)!;
    const at = map.project((found.geometry as GeoJSON.Point).coordinates as [number, number]);
    const box = map.getCanvas().getBoundingClientRect();
    return { x: box.left + at.x, y: box.top + at.y };
  }, id);

const bearing = (page: Page) =>
  page.evaluate(() => (window as unknown as WithMap).rimplaneNightMap!.getBearing());

describe.skipIf(browserPath === null)('the map of a night on a phone', { timeout: 180_000 }, () => {
  const folder = mkdtempSync(join(tmpdir(), 'rimplane-crew-map-'));
  let server: ServerProcess;
  let browser: Browser;
  let page: Page;
  let address = '';
  let ids: string[] = [];
  let hindrances: string[] = [];

  /** What Chromium itself has against installing the page; asked outside of a private window, where it never installs. */
  async function installHindrances(): Promise<string[]> {
    const context = await chromium.launchPersistentContext(join(folder, 'browser'), {
      executablePath: browserPath!,
      args: chromiumArguments,
    });
    const [own] = context.pages();
    await own.goto(`${address}/crew`);
    const session = await context.newCDPSession(own);
    const { installabilityErrors } = await session.send('Page.getInstallabilityErrors');
    await context.close();
    return installabilityErrors.map(({ errorId }) => errorId);
  }

  beforeAll(async () => {
    if (shots) mkdirSync(shots, { recursive: true });
    server = startServerProcess({ PORT: '0', DATA_DIR: join(folder, 'data'), WEB_BUILD: 'auto' });
    browser = await startBrowser();
    address = (await server.address).replace(/\/$/, '');
    const read = async (path: string) => (await fetch(`${address}/api${path}`)).json();
    const [agency] = (await read('/agencies')).items;
    const [demo] = (await read(`/agencies/${agency.id}/projects`)).items;
    const project = `/agencies/${agency.id}/projects/${demo.id}`;
    const covers = (await read(`${project}/covers?status=raise&limit=6`)).items as { id: string }[];
    ids = covers.map(({ id }) => id);
    const answer = await fetch(`${address}/api${project}/covers/assign`, {
      method: 'POST',
      headers: { 'content-type': 'application/json' },
      body: JSON.stringify({ selection: { ids }, crew: 'South', night }),
    });
    expect(answer.status).toBe(200);
    ({ page } = await openPage(browser, 390, 844));
    await page.goto(`${address}/crew`);
    await page.getByLabel('Your name').fill('D. Osk');
    await page.getByRole('button', { name: 'That is me' }).click();
    await page.getByRole('button', { name: new RegExp(`${nightText(night)}, South.*6 covers`) }).click();
    await page.locator('.crew-list li').nth(5).waitFor();
    await page.waitForFunction(() => navigator.serviceWorker.controller !== null);
    hindrances = await installHindrances();
    // What the browser itself keeps of what it once loaded may be gone when it is needed.
    const session = await page.context().newCDPSession(page);
    await session.send('Network.clearBrowserCache');
    server.child.kill('SIGINT');
    await server.ended;
  }, 150_000);
  afterAll(async () => {
    await browser?.close();
    server?.child.kill('SIGINT');
    await server?.ended;
    rmSync(folder, { recursive: true, force: true });
  }, 60_000);

  it('may be installed', () => {
    expect(hindrances).toEqual([]);
  });

  it('draws every cover with its number after the server is gone and the page was loaded anew', async () => {
    const asked: string[] = [];
    page.on('requestfailed', (request) => asked.push(request.url()));
    await page.reload();
    await page.getByRole('link', { name: 'Map of tonight’s covers' }).click();
    await eventually(async () => (await drawn(page)).length).toBe(6);
    const list = await page
      .locator('.crew-map-list li a')
      .evaluateAll((links) =>
        links.map((link, at) => `${at + 1} ${decodeURIComponent(link.getAttribute('href')!.slice(2))}`),
      );
    expect((await drawn(page)).map((one) => one.replace(/ \w+$/, ''))).toEqual(list.sort());
    expect(asked.filter((url) => !url.includes('/api/'))).toEqual([]);
    expect(await violationsOf(page)).toEqual([]);
    for (const [width, height] of [
      [1440, 900],
      [1024, 768],
      [390, 844],
    ]) {
      await page.setViewportSize({ width, height });
      await page.waitForTimeout(400);
      if (shots) await page.screenshot({ path: join(shots, `map-${width}.png`) });
      const canvas = await page.locator('.crew-map canvas').boundingBox();
      const frame = await page.locator('.crew-map').boundingBox();
      expect(canvas!.height).toBeGreaterThan(height / 2);
      expect(canvas!.height).toBeCloseTo(frame!.height, -1);
      const low = await page.locator('a:visible, button:visible').evaluateAll((all) =>
        all.flatMap((one) => {
          const { width, height } = one.getBoundingClientRect();
          return height < 44 || width < 44 ? [`${one.textContent} ${width} x ${height}`] : [];
        }),
      );
      expect(low).toEqual([]);
    }
  });

  it('opens the cover that was touched, and shows what was recorded there before it was sent', async () => {
    const at = await pixelOf(page, ids[0]);
    await page.mouse.click(at.x + 12, at.y - 12);
    await eventually(() => page.evaluate(() => location.hash)).toBe(`#/${encodeURIComponent(ids[0])}`);
    await page.getByRole('button', { name: 'Read, go to the cover' }).click();
    await goTo(page, 'Steps');
    await openStep(page, 'Lower and plate');
    await page.getByLabel('Plate number').fill('P-7');
    await page.getByRole('button', { name: 'Record: lowered and plated' }).click();
    await eventually(() => page.locator('.crew-bar').textContent()).toMatch(/1 unsent/);
    await page.getByRole('link', { name: 'Map', exact: true }).click();
    await eventually(() => drawn(page)).toContainEqual(expect.stringMatching(`${ids[0]} plated`));
    if (shots) await page.screenshot({ path: join(shots, 'map-cover-390.png') });
    await page.getByRole('link', { name: `Back to ${ids[0]}` }).click();
    await page.getByRole('link', { name: 'Tonight’s list' }).click();
  });

  it('turns with the street and back to north, on request', async () => {
    await page.getByRole('link', { name: 'Map of tonight’s covers' }).click();
    await eventually(async () => (await drawn(page)).length).toBe(6);
    await page.getByRole('button', { name: 'North up' }).click();
    expect(Math.abs(await bearing(page))).toBeGreaterThan(0.1);
    if (shots) await page.screenshot({ path: join(shots, 'map-street-up-390.png') });
    await page.getByRole('button', { name: 'Street up' }).click();
    expect(await bearing(page)).toBeCloseTo(0);
  });

  it('says in words that it may not know where the phone is, and shows it in its circle where it may', async () => {
    const said = page.locator('.crew-map-said');
    await page.getByRole('button', { name: 'Where am I?' }).click();
    await eventually(() => said.textContent()).toMatch(/not allowed to say where it is/);
    const context = page.context();
    await context.grantPermissions(['geolocation'], { origin: address });
    const { lng, lat } = await page.evaluate(() =>
      (window as unknown as WithMap).rimplaneNightMap!.getCenter(),
    );
    await context.setGeolocation({ longitude: lng, latitude: lat, accuracy: 12.2 });
    await page.getByRole('button', { name: 'Where am I?' }).click();
    await eventually(() => said.textContent()).toMatch(
      /You are within (41 ft|13 m) of the dot\. Neither kept nor sent\./,
    );
    await eventually(() =>
      page.evaluate(
        () =>
          (window as unknown as WithMap).rimplaneNightMap!.queryRenderedFeatures({
            layers: ['place-circle', 'place-dot'],
          }).length,
      ),
    ).toBe(2);
    if (shots) await page.screenshot({ path: join(shots, 'map-place-390.png') });
    const kept = await page.evaluate(async () => {
      const request = indexedDB.open('rimplane-crew');
      await new Promise((resolve) => {
        request.onsuccess = resolve;
      });
      const store = request.result.transaction('settings').objectStore('settings').getAllKeys();
      await new Promise((resolve) => {
        store.onsuccess = resolve;
      });
      return [...store.result, ...Object.keys(localStorage)];
    });
    const ofPages = kept.filter((key) => !String(key).startsWith('rimplane-hole:'));
    expect(ofPages.sort()).toEqual(['device', 'name', 'night']);
  });
});
