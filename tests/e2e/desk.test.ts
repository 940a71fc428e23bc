import { readdirSync, readFileSync } from 'node:fs';
import { gzipSync } from 'node:zlib';
import type { Browser } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { statuses } from '#shared/status.ts';
import { layersOf } from '../../web/symbols/layers.ts';
import {
  browserPath,
  openPage,
  type RunningServer,
  startBrowser,
  startServer,
  violationsOf,
  waitForCovers,
} from './running.ts';

type Rimplane = { rimplaneMap: import('maplibre-gl').Map };

describe.skipIf(browserPath === null)('the desk', { timeout: 90_000 }, () => {
  let server: RunningServer;
  let browser: Browser;
  beforeAll(async () => {
    [server, browser] = await Promise.all([startServer(), startBrowser()]);
  }, 120_000);
  afterAll(async () => {
    await browser?.close();
    await server?.stop();
  }, 60_000);

  const open = async (query = '', width = 1440, height = 900) => {
    const watched = await openPage(browser, width, height);
    await watched.page.goto(server.address + query);
    await waitForCovers(watched.page);
    return watched;
  };

  it('comes from a first start to a map of coloured covers, with nothing on the console', async () => {
    const { page, faults } = await open();
    const drawn = await page.evaluate(() =>
      (window as unknown as Rimplane).rimplaneMap
        .queryRenderedFeatures({ layers: ['covers'] })
        .map(({ properties }) => properties.status as string),
    );
    expect(drawn.length).toBeGreaterThan(100);
    expect(new Set(drawn).size).toBeGreaterThanOrEqual(5);
    expect(await page.locator('.table-scroll tbody tr').count()).toBeGreaterThan(8);
    await page.waitForFunction(
      () =>
        (window as unknown as Rimplane).rimplaneMap.querySourceFeatures('register', { sourceLayer: 'covers' })
          .length > 500,
    );
    expect(faults).toEqual([]);
    await page.close();
  });

  it('asks less than 650 kB of script of a first visit, MapLibre and its worker included', () => {
    const scripts = readdirSync('web/dist/assets').filter((name) => /\.m?js$/.test(name));
    const sizes = scripts.map(
      (name) => gzipSync(readFileSync(`web/dist/assets/${name}`), { level: 9 }).length,
    );
    expect(scripts.some((name) => name.includes('worker'))).toBe(true);
    expect(sizes.reduce((sum, size) => sum + size, 0)).toBeLessThan(650_000);
  });

  it('filters by a click, adds by a shift-click, fades the rest and says so in the address', async () => {
    const { page, faults } = await open();
    const keyOf = (word: string) => page.locator('.key', { hasText: word });
    await keyOf('Review').click();
    expect(new URL(page.url()).searchParams.get('status')).toBe('review');
    const words = () => page.locator('.col-status .status').allTextContents();
    await expect.poll(async () => [...new Set(await words())]).toEqual(['Review']);
    await keyOf('Rebuild').click({ modifiers: ['Shift'] });
    expect(new URL(page.url()).searchParams.get('status')).toBe('review,rebuild');
    await expect.poll(async () => [...new Set(await words())].sort()).toEqual(['Rebuild', 'Review']);
    const faded = () =>
      page.evaluate(() => {
        const map = (window as unknown as Rimplane).rimplaneMap;
        const covers = map.queryRenderedFeatures({ layers: ['covers', 'faded-covers'] });
        const isKept = (status: string) => status === 'review' || status === 'rebuild';
        const right = covers.filter(
          ({ layer, properties }) => (layer.id === 'covers') === isKept(properties.status),
        );
        return { all: covers.length, right: right.length };
      });
    await expect.poll(async () => (await faded()).right).toBeGreaterThan(100);
    expect((await faded()).right).toBe((await faded()).all);
    await page.reload();
    await waitForCovers(page);
    expect([...new Set(await words())].sort()).toEqual(['Rebuild', 'Review']);
    expect(faults).toEqual([]);
    await page.close();
  });

  it('opens a card from the map, draws it, walks along the street and closes it', async () => {
    const { page, faults } = await open('/?status=raise');
    const spot = await page.evaluate(() => {
      const map = (window as unknown as Rimplane).rimplaneMap;
      const cover = map
        .queryRenderedFeatures({ layers: ['covers'] })
        .filter(({ properties }) => properties.status === 'raise')[5];
      const [lon, lat] = (cover.geometry as GeoJSON.Point).coordinates;
      const { x, y } = map.project([lon, lat]);
      const box = map.getCanvas().getBoundingClientRect();
      return { x: x + box.x, y: y + box.y };
    });
    await page.mouse.click(spot.x, spot.y);
    const heading = page.locator('.card h2');
    await heading.waitFor();
    const first = new URL(page.url()).searchParams.get('cover')!;
    expect(await heading.textContent()).toContain(first);
    await page.locator('.decision .reasons').waitFor();
    expect(await page.locator('.cautions').textContent()).toMatch(/Confined space.*permit/s);
    expect(await page.locator('.figures').textContent()).toMatch(/2σ/);
    await page.keyboard.press('[');
    await expect.poll(() => new URL(page.url()).searchParams.get('cover')).not.toBe(first);
    await page.keyboard.press(']');
    await expect.poll(() => new URL(page.url()).searchParams.get('cover')).toBe(first);
    await page.keyboard.press('Escape');
    await expect.poll(() => page.locator('.card').count()).toBe(0);
    await page.goBack();
    await heading.waitFor();
    await page.keyboard.press('/');
    expect(await page.evaluate(() => document.activeElement?.id)).toBe('search');
    expect(faults).toEqual([]);
    await page.close();
  });

  it('draws the stack, the clock of its tapers and the rim round the clock for a cover that is raised', async () => {
    const { page } = await open('/?status=raise&search=SS-');
    const rows = page.locator('tbody tr', { hasText: 'taper' });
    await rows.first().locator('.cover-link').click();
    for (const name of [
      /^Section: seat at/,
      /Ring \d: thick side .*looking up-station/,
      /^Rim round the clock/,
      /^Worst rim error/,
    ]) {
      await page.getByRole('img', { name }).first().waitFor();
    }
    expect(await page.locator('.taper-words').textContent()).toMatch(/o’clock|:30/);
    await page.close();
  });

  it('keeps a person’s own view of the map in the address', async () => {
    const { page } = await open();
    await page.locator('.map canvas').focus();
    await page.keyboard.press('ArrowRight');
    await expect
      .poll(() => new URL(page.url()).searchParams.get('at'))
      .toMatch(/^-?\d+\.\d{6},-?\d+\.\d{6},/);
    const before = page.url();
    await page.reload();
    await waitForCovers(page);
    expect(page.url()).toBe(before);
    await page.close();
  });

  it('shows how far a plan is and stops it on request', async () => {
    const { page, faults } = await openPage(browser, 1440, 900);
    const id = '00000000-0000-4000-8000-000000000000';
    let state = 'running';
    const job = () => ({ id, state, done: 40, total: 181, unchanged: false, error: null, warnings: [] });
    // A real plan of the demo is over before anybody could stop it: only the job's answers are slowed down here.
    await page.route('**/plans', (route) => route.fulfill({ status: 202, json: job() }));
    await page.route(`**/jobs/${id}`, (route) => route.fulfill({ json: job() }));
    await page.route(`**/jobs/${id}/cancel`, (route) => {
      state = 'cancelled';
      return route.fulfill({ json: job() });
    });
    await page.route(`**/jobs/${id}/events`, (route) =>
      route.fulfill({
        contentType: 'text/event-stream',
        body: `retry: 50\nevent: progress\ndata: ${JSON.stringify({ jobId: id, state, done: 40, total: 181 })}\n\n`,
      }),
    );
    await page.goto(server.address);
    await waitForCovers(page);
    await page.getByRole('button', { name: 'Plan again' }).click();
    await expect.poll(() => page.locator('.planning').textContent()).toContain('Planning 40 of 181');
    await page.getByRole('button', { name: 'Stop' }).click();
    await expect.poll(() => page.locator('.outcome').textContent()).toContain('the old plan stays');
    await page.getByRole('button', { name: 'Plan again' }).waitFor();
    expect(faults).toEqual([]);
    await page.close();
  });

  it('says so when nothing has changed since the plan', async () => {
    const { page } = await open();
    await page.getByRole('button', { name: 'Plan again' }).click();
    await expect
      .poll(() => page.locator('.outcome').textContent())
      .toBe('Nothing had changed: the plan stays.');
    await page.close();
  });

  it('keeps the picture and says what to do when the server cannot be reached', async () => {
    const { page } = await open();
    await page.route('**/covers/*', (route) => route.abort('connectionrefused'));
    await page.locator('.cover-link').nth(3).click();
    await expect
      .poll(() => page.locator('.card .fault').textContent())
      .toContain('The server does not answer');
    expect(await page.locator('tbody .cover-link').count()).toBeGreaterThan(8);
    await page.unroute('**/covers/*');
    await page.keyboard.press(']');
    await page.locator('.card .decision').waitFor();
    expect(await page.locator('.card .fault').count()).toBe(0);
    await page.close();
  });

  it.each([
    [1440, 900, ''],
    [1440, 900, '?cover=SS-0187'],
    [1440, 900, '?page=surveys'],
    [1024, 768, '?cover=SS-0187'],
    [390, 844, ''],
    [390, 844, '?cover=SS-0187'],
    [390, 844, '?page=surveys'],
  ])('has no fault that axe-core finds at %d x %d%s', async (width, height, query) => {
    const { page, faults } = await openPage(browser, width, height);
    await page.goto(`${server.address}/${query}`);
    if (query === '?page=surveys') await page.getByRole('heading', { level: 1 }).waitFor();
    else if (query === '' || width > 900) await waitForCovers(page);
    if (query.includes('cover')) await page.locator('.figures').waitFor();
    expect(await violationsOf(page)).toEqual([]);
    const wide = await page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
    expect(wide).toBeLessThanOrEqual(0);
    expect(faults).toEqual([]);
    await page.close();
  });

  it('tells statuses apart in grey by their shapes alone', async () => {
    const page = await browser.newPage();
    const symbols = statuses.map(({ code, shape, fill }) => ({ code, layers: layersOf(shape, fill) }));
    const images = await page.evaluate((all) => {
      const paint = (layers: (typeof all)[number]['layers']) => {
        const canvas = Object.assign(document.createElement('canvas'), { width: 16, height: 16 });
        const context = canvas.getContext('2d')!;
        context.fillStyle = '#fff';
        context.fillRect(0, 0, 16, 16);
        context.translate(8, 8);
        for (const { path, fill, stroke, width = 1, dash } of layers) {
          context.setLineDash(dash ? [...dash] : []);
          context.lineWidth = width;
          if (fill) context.fillStyle = fill;
          if (fill) context.fill(new Path2D(path));
          if (stroke) context.strokeStyle = stroke;
          if (stroke) context.stroke(new Path2D(path));
        }
        const { data } = context.getImageData(0, 0, 16, 16);
        return Array.from(
          { length: 256 },
          (_, i) => 0.2126 * data[4 * i] + 0.7152 * data[4 * i + 1] + 0.0722 * data[4 * i + 2],
        );
      };
      return all.map(({ code, layers }) => ({ code, grey: paint(layers) }));
    }, symbols);
    const pairs = images.flatMap((one, index) =>
      images.slice(index + 1).map((two) => ({
        codes: `${one.code}/${two.code}`,
        pixels: one.grey.filter((grey, at) => Math.abs(grey - two.grey[at]) > 40).length,
      })),
    );
    pairs.sort((a, b) => a.pixels - b.pixels);
    expect(pairs[0].pixels, `${pairs[0].codes} differ in too few of 256 pixels`).toBeGreaterThanOrEqual(50);
    await page.close();
  });
});
