import type { Browser } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import {
  browserPath,
  openPage,
  type RunningServer,
  startBrowser,
  startServer,
  violationsOf,
  waitForCovers,
} from './running.ts';

describe.skipIf(browserPath === null)('finding covers', { timeout: 90_000 }, () => {
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

  it('leads by keys from the search over the register to the cover', async () => {
    const { page, faults } = await open();
    await page.locator('tbody .cover-link').first().waitFor();
    await page.keyboard.press('/');
    await page.keyboard.type('SS-0187');
    await page.getByRole('option', { name: /SS-0187/ }).waitFor();
    expect(await violationsOf(page)).toEqual([]);
    await page.keyboard.press('ArrowDown');
    await page.keyboard.press('Enter');
    await page.locator('.card h2', { hasText: 'SS-0187' }).waitFor();
    const address = new URL(page.url()).searchParams;
    expect([address.get('cover'), address.get('search')]).toEqual(['SS-0187', null]);
    expect(faults).toEqual([]);
    await page.close();
  });

  it('holds the table to a street by a click in the search, and lets go again', async () => {
    const { page, faults } = await open();
    const street = (await page.locator('tbody .col-street').first().textContent())!;
    await page.locator('#search').fill(street);
    await page.getByRole('option', { name: new RegExp(`^${street} street`) }).click();
    await page.locator('.chip', { hasText: street }).waitFor();
    const streetsShown = async () => [...new Set(await page.locator('tbody .col-street').allTextContents())];
    await expect.poll(streetsShown).toEqual([street]);
    await page.locator('.chip').click();
    await expect.poll(() => page.locator('.chip').count()).toBe(0);
    expect(faults).toEqual([]);
    await page.close();
  });

  it('holds the table to covers of no crew, and says so in the address', async () => {
    const { page } = await open();
    await page.getByLabel('Filter by').selectOption('crew');
    await page.getByRole('button', { name: 'Filter', exact: true }).click();
    await page.locator('.chip', { hasText: 'no crew' }).waitFor();
    expect(new URL(page.url()).searchParams.get('crew')).toBe('');
    await page.close();
  });

  it('sorts in the server: the worst rim first, then the best', async () => {
    const { page } = await open();
    const asked = page.waitForResponse((response) => response.url().includes('sort=worst'));
    await page.locator('.col-worst button').click();
    const { items } = await (await asked).json();
    const worst = (items as { worstM: number | null }[]).flatMap(({ worstM }) =>
      worstM === null ? [] : [worstM],
    );
    expect(worst).toEqual([...worst].sort((a, b) => b - a));
    await expect.poll(() => page.locator('.cover-link').first().textContent()).toBe(items[0].id);
    await page.close();
  });

  it('reads further pages while one scrolls, each row once', async () => {
    const { page, faults } = await openPage(browser, 1440, 900);
    // The demo has fewer covers than a page: smaller pages are asked for on its behalf.
    await page.route(/covers\?sort=/, (route) =>
      route.continue({ url: route.request().url().replace('limit=500', 'limit=40') }),
    );
    await page.goto(server.address);
    await page.locator('tbody .cover-link').first().waitFor();
    const total = Number(/of (\d+)/.exec((await page.locator('.search [role=status]').textContent())!)![1]);
    const seen = new Set<string>();
    const box = page.locator('.table-scroll');
    await expect
      .poll(
        async () => {
          for (const id of await page.locator('.cover-link').allTextContents()) seen.add(id);
          await box.evaluate((element) => element.scrollBy(0, 300));
          return seen.size;
        },
        { timeout: 60_000, interval: 60 },
      )
      .toBe(total);
    expect(await page.locator('tbody tr').count()).toBeLessThan(80);
    expect(faults).toEqual([]);
    await page.close();
  });
});
