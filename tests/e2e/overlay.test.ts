import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import {
  browserPath,
  eventually,
  openPage,
  type RunningServer,
  startBrowser,
  startServer,
  violationsOf,
} from './running.ts';

/** Answers as the map holds them, by cover. */
const drawn = (page: Page) =>
  page.evaluate(() => {
    const { rimplaneOverlayMap: map } = window as unknown as {
      rimplaneOverlayMap?: import('maplibre-gl').Map;
    };
    if (!map?.getLayer('answers') || !map.isSourceLoaded('answers')) return {};
    const found = map.queryRenderedFeatures({ layers: ['answers'] });
    return Object.fromEntries(
      found.map(({ properties: { id, answer } }) => [id as string, answer as string]),
    );
  });

const headline = (page: Page) => page.locator('.finding .headline').textContent();

describe.skipIf(browserPath === null)('the next overlay', { timeout: 120_000 }, () => {
  let server: RunningServer;
  let browser: Browser;
  beforeAll(async () => {
    [server, browser] = await Promise.all([startServer(), startBrowser()]);
  }, 120_000);
  afterAll(async () => {
    await browser?.close();
    await server?.stop();
  }, 60_000);

  const open = async (query = '?page=overlay', width = 1440, height = 900) => {
    const watched = await openPage(browser, width, height);
    await watched.page.goto(server.address + query);
    await watched.page.locator('.finding .headline').waitFor();
    return watched;
  };

  it('answers for streets picked from the search, in words, on the map and in the table alike', async () => {
    const { page, faults } = await openPage(browser, 1440, 900);
    await page.goto(server.address);
    await page.getByRole('button', { name: 'Next overlay' }).click();
    await page.getByLabel('Overlay thickness, in').fill('4');
    for (const street of ['Gantry Avenue', 'Weir Parkway']) {
      await page.getByRole('combobox', { name: 'Add a street' }).fill(street.slice(0, 6));
      await page.getByRole('option', { name: new RegExp(street) }).click();
    }
    await eventually(() => headline(page)).toMatch(
      /^\d+ of \d+ covers on Gantry Avenue and Weir Parkway can take 4 in with nothing milled; /,
    );
    const [, yes, total] = /^(\d+) of (\d+)/.exec((await headline(page))!)!.map(Number);
    await eventually(async () => Object.values(await drawn(page)).length).toBe(total);
    const onMap = await drawn(page);
    expect(Object.values(onMap).filter((answer) => answer === 'yes')).toHaveLength(yes);
    await page
      .locator('.answer-keys')
      .getByRole('button', { name: /Cannot/ })
      .click();
    const refused = Object.keys(onMap).filter((id) => onMap[id] === 'no');
    await eventually(async () => Object.keys(await drawn(page)).sort()).toEqual(refused.sort());
    const ids = await page.locator('tbody .cover-link').allTextContents();
    expect(ids.every((id) => refused.includes(id))).toBe(true);
    const address = new URL(page.url()).searchParams;
    expect(address.getAll('along')).toEqual(['Gantry Avenue', 'Weir Parkway']);
    expect([address.get('lay'), address.get('answer')]).toEqual(['4', 'no']);
    expect(faults).toEqual([]);
    await page.close();
  });

  it('gives a link that opens the same answer, and a file of it', async () => {
    const { page } = await open('?page=overlay&lay=1 1/2 in&mill=4 in&along=Gantry Avenue&order=-left');
    await eventually(() => headline(page)).toContain(
      'covers on Gantry Avenue can take 1½ in after milling 4 in',
    );
    const total = Number(/of (\d+)/.exec((await headline(page))!)![1]);
    const left = (await page.locator('td.col-left').allTextContents())
      .filter((text) => text !== '·')
      .map((text) => Number(text.replace('−', '-')));
    expect(left.length).toBeGreaterThan(5);
    expect(left).toEqual([...left].sort((a, b) => b - a));
    const file = await page.getByRole('link', { name: 'Save as a CSV file' }).getAttribute('href');
    const text = await (await fetch(server.address + file)).text();
    expect(text.trim().split('\n')).toHaveLength(total + 1);
    expect(text).toContain('The mill strikes the rim');
    await page.close();
  });

  it('answers for an area drawn by keyboard, which the address keeps', async () => {
    const { page, faults } = await open();
    const all = Number(/of (\d+)/.exec((await headline(page))!)![1]);
    await page.waitForFunction(() => 'rimplaneOverlayMap' in window);
    await page.getByRole('button', { name: 'Draw on the map' }).click();
    const corner = page.getByRole('button', { name: 'Corner at the cross' });
    for (const key of ['ArrowLeft', 'ArrowDown', 'ArrowRight', 'ArrowUp']) {
      await page.locator('.map canvas').press(key);
      await page.waitForFunction(
        () =>
          !(
            window as unknown as { rimplaneOverlayMap: import('maplibre-gl').Map }
          ).rimplaneOverlayMap.isMoving(),
      );
      await corner.press('Enter');
    }
    await page.getByText('area of 4 corners').waitFor();
    expect(await violationsOf(page)).toEqual([]);
    await eventually(() => headline(page)).toContain('inside the area drawn');
    expect(Number(/(\d+) covers/.exec((await headline(page))!)![1])).toBeLessThan(all);
    expect(new URL(page.url()).searchParams.get('area')?.split(' ')).toHaveLength(4);
    await page.getByRole('button', { name: 'Drawn' }).click();
    await page.getByRole('button', { name: /area of 4 corners/ }).click();
    await eventually(() => headline(page)).toContain(`of ${all} covers of `);
    expect(faults).toEqual([]);
    await page.close();
  });

  it('names the field that cannot be read and keeps the last answer, marked as such', async () => {
    const { page } = await open();
    const before = await headline(page);
    await page.getByLabel('Milled before, in').fill('deep');
    await page.getByText('"deep" is').waitFor();
    expect(await headline(page)).toBe(before);
    expect(await page.locator('.finding.stale').count()).toBe(1);
    await page.close();
  });

  it('leads from a row to its card', async () => {
    const { page } = await open();
    await page.locator('tbody tr').nth(3).click();
    const id = (await page.locator('tbody .cover-link').nth(3).textContent())!;
    await page.locator('.chosen-answer', { hasText: id }).waitFor();
    await page.locator('.chosen-answer .cover-link').click();
    await page.locator('.card h2', { hasText: id }).waitFor();
    await page.close();
  });

  it.each([
    [1440, 900],
    [1024, 768],
    [390, 844],
  ])('has no fault that axe-core finds at %d x %d', async (width, height) => {
    const { page, faults } = await open('?page=overlay&along=Gantry Avenue', width, height);
    expect(await violationsOf(page)).toEqual([]);
    expect(await page.evaluate(() => document.documentElement.scrollWidth - innerWidth)).toBeLessThanOrEqual(
      0,
    );
    expect(faults).toEqual([]);
    await page.close();
  });
});
