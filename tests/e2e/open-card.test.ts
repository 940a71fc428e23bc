import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import {
  browserPath,
  eventually,
  openPage,
  type RunningServer,
  startBrowser,
  startServer,
} from './running.ts';

type Maps = { rimplaneMap: import('maplibre-gl').Map };

const zoomOf = (page: Page) => page.evaluate(() => (window as unknown as Maps).rimplaneMap.getZoom());

describe.skipIf(browserPath === null)('opening the desk and a card', { timeout: 90_000 }, () => {
  let server: RunningServer;
  let browser: Browser;
  beforeAll(async () => {
    [server, browser] = await Promise.all([startServer(), startBrowser()]);
  }, 120_000);
  afterAll(async () => {
    await browser?.close();
    await server?.stop();
  }, 60_000);

  it('paints the first rows before it begins to make the map', async () => {
    const { page } = await openPage(browser, 1440, 900);
    await page.addInitScript(() => {
      const look = () => {
        if (document.querySelector('tbody .cover-link') === null) requestAnimationFrame(look);
        // What a frame's own task sees is painted at its end.
        else requestAnimationFrame(() => Object.assign(window, { arePainted: true }));
      };
      requestAnimationFrame(look);
      const { getContext } = HTMLCanvasElement.prototype;
      HTMLCanvasElement.prototype.getContext = function (this: HTMLCanvasElement, ...given: unknown[]) {
        const kept = window as { arePainted?: boolean; wereFirst?: boolean };
        if (String(given[0]).startsWith('webgl')) kept.wereFirst ??= kept.arePainted === true;
        return getContext.apply(this, given as never);
      } as typeof getContext;
    });
    await page.goto(server.address);
    await eventually(() => page.evaluate(() => (window as { wereFirst?: boolean }).wereFirst)).toBe(true);
    await page.close();
  });

  it('asks for it once, and moves the map only after the card is shown', async () => {
    const { page, faults } = await openPage(browser, 1440, 900);
    await page.goto(server.address);
    await page.waitForFunction(() => (window as unknown as Partial<Maps>).rimplaneMap?.loaded());
    // Counts alone are drawn from here on, so that the map has to go to the cover.
    await page.evaluate(() => (window as unknown as Maps).rimplaneMap.jumpTo({ zoom: 11 }));
    const first = page.locator('tbody .cover-link').first();
    const id = (await first.textContent())!;
    const asked: string[] = [];
    const held = Promise.withResolvers<void>();
    await page.route(`**/covers/${id}`, async (route) => {
      asked.push(route.request().url());
      await held.promise;
      await route.continue();
    });
    await page.evaluate(() => {
      const { rimplaneMap: map } = window as unknown as Maps;
      let clickedAt = Infinity;
      addEventListener('click', () => (clickedAt = performance.now()), { once: true, capture: true });
      // On a busy machine the card may be so long in coming that the map goes ahead of it.
      const isLate = () => performance.now() - clickedAt >= 700;
      map.once('moveend', () => {
        const isShown = document.querySelector('.card .decision') !== null;
        Object.assign(window, { shownFirst: isShown || isLate() });
      });
    });
    await first.click();
    await page.waitForTimeout(60);
    held.resolve();
    await page.locator('.card .decision').waitFor();
    await eventually(() => zoomOf(page)).toBeGreaterThan(13);
    expect(await page.evaluate(() => (window as unknown as { shownFirst: boolean }).shownFirst)).toBe(true);
    expect(asked).toHaveLength(1);
    expect(faults).toEqual([]);
    await page.close();
  });

  it('moves the map all the same where the card is long in coming', async () => {
    const { page } = await openPage(browser, 1440, 900);
    await page.goto(server.address);
    await page.waitForFunction(() => (window as unknown as Partial<Maps>).rimplaneMap?.loaded());
    await page.evaluate(() => (window as unknown as Maps).rimplaneMap.jumpTo({ zoom: 11 }));
    const first = page.locator('tbody .cover-link').first();
    await page.route(`**/covers/${await first.textContent()}`, () => {});
    await first.click();
    await eventually(() => zoomOf(page)).toBeGreaterThan(13);
    await page.close();
  });

  it('fits the map to the room that the card leaves, and to all of it when the card is closed', async () => {
    const { page } = await openPage(browser, 1440, 900);
    await page.goto(server.address);
    await page.waitForFunction(() => (window as unknown as Partial<Maps>).rimplaneMap?.loaded());
    const widths = () =>
      page.evaluate(() => {
        const { rimplaneMap: map } = window as unknown as Maps;
        return [map.getContainer().clientWidth, map.getCanvas().clientWidth];
      });
    const [whole] = await widths();
    await page.locator('tbody .cover-link').first().click();
    await page.locator('.card .decision').waitFor();
    await eventually(async () => new Set(await widths()).size).toBe(1);
    const [narrow] = await widths();
    expect(narrow).toBeLessThan(whole);
    await page.keyboard.press('Escape');
    await eventually(widths).toEqual([whole, whole]);
    await page.close();
  });
});
