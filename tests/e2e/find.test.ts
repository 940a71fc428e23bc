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

  it('draws the rows that a phone is scrolled to, where the page scrolls and not the table', async () => {
    const { page, faults } = await open('', 390, 844);
    await page.locator('tbody .cover-link').first().waitFor();
    const first = await page.locator('tbody .cover-link').first().textContent();
    const seen = () =>
      page.evaluate(() => {
        const { bottom } = document.querySelector('main')!.getBoundingClientRect();
        return [...document.querySelectorAll('tbody .cover-link')].filter((link) => {
          const { top } = link.getBoundingClientRect();
          return top > 140 && top < bottom;
        }).length;
      });
    for (const far of [1500, 4000]) {
      await page.locator('main').evaluate((main, top) => main.scrollTo(0, top), far);
      await expect.poll(seen).toBeGreaterThan(12);
    }
    expect(await page.locator('tbody .cover-link').first().textContent()).not.toBe(first);
    expect(await page.locator('tbody tr').count()).toBeLessThan(80);
    expect(faults).toEqual([]);
    await page.close();
  });

  it('gives ticked rows to a crew after a count, and takes that back', async () => {
    const { page, faults } = await open();
    await page.locator('tbody .cover-link').first().waitFor();
    await page.getByRole('button', { name: 'Select several' }).click();
    const id = (await page.locator('tbody .cover-link').first().textContent())!;
    for (const at of [0, 1, 2]) await page.locator('tbody .col-pick input').nth(at).check();
    await page.getByLabel('Crew', { exact: true }).fill('North');
    await page.getByText('3 selected, 3 would change.').waitFor();
    expect(await violationsOf(page)).toEqual([]);
    await page.getByRole('button', { name: 'Assign 3 covers' }).click();
    await page.getByText('Assigned 3 covers.').first().waitFor();
    const row = page.locator('tbody tr', { hasText: id });
    await expect.poll(() => row.locator('.col-crew').textContent()).toBe('North');
    await page.getByRole('button', { name: 'Undo' }).click();
    await expect.poll(() => row.locator('.col-crew').textContent()).toBe('·');
    expect(faults).toEqual([]);
    await page.close();
  });

  it('selects by an area whose corners come from the keyboard, and all that the filter leaves', async () => {
    const { page, faults } = await open();
    await page.getByRole('button', { name: 'Select several' }).click();
    await page.getByRole('button', { name: 'Area on the map' }).click();
    const corner = page.getByRole('button', { name: 'Corner at the cross' });
    await page.locator('.map canvas').focus();
    for (const key of ['ArrowLeft', 'ArrowUp', 'ArrowRight', 'ArrowRight', 'ArrowDown', 'ArrowDown']) {
      await page.locator('.map canvas').press(key);
      await page.waitForFunction(
        () => !(window as unknown as { rimplaneMap: import('maplibre-gl').Map }).rimplaneMap.isMoving(),
      );
      await corner.press('Enter');
    }
    await page.getByText('An area of 6 corners.').waitFor();
    await page.getByLabel('Crew', { exact: true }).fill('South');
    await page.getByText(/^\d+ selected/).waitFor();
    await page.getByRole('button', { name: 'All that the filter shows' }).click();
    const all = /of (\d+)/.exec((await page.locator('.search [role=status]').textContent())!)![1];
    await page.getByText(`${all} selected, ${all} would change.`).waitFor();
    expect(faults).toEqual([]);
    await page.close();
  });

  it('sets corners by clicks on the map without opening a card', async () => {
    const { page } = await open();
    await page.getByRole('button', { name: 'Select several' }).click();
    await page.getByRole('button', { name: 'Area on the map' }).click();
    const box = (await page.locator('.map canvas').boundingBox())!;
    for (const [x, y] of [
      [0.3, 0.2],
      [0.7, 0.2],
      [0.7, 0.7],
      [0.3, 0.7],
    ]) {
      await page.mouse.click(box.x + x * box.width, box.y + y * box.height);
      await page.waitForTimeout(350);
    }
    await page.getByText('An area of 4 corners.').waitFor();
    expect(await page.locator('.card').count()).toBe(0);
    await page.getByLabel('Crew', { exact: true }).fill('East');
    await page.getByText(/^[1-9]\d* selected, [1-9]\d* would change/).waitFor();
    await page.close();
  });
});
