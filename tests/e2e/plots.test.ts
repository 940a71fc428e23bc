import type { Browser } from 'playwright-core';
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

describe.skipIf(browserPath === null)('the plots of a project', { timeout: 90_000 }, () => {
  let server: RunningServer;
  let browser: Browser;
  let project: string;
  beforeAll(async () => {
    [server, browser] = await Promise.all([startServer(), startBrowser()]);
    const [agency] = (await (await fetch(`${server.address}/api/agencies`)).json()).items;
    const agencyPath = `${server.address}/api/agencies/${agency.id}/projects`;
    project = `${agencyPath}/${(await (await fetch(agencyPath)).json()).items[0].id}`;
    await fetch(`${project}/covers/assign`, {
      method: 'POST',
      headers: { 'content-type': 'application/json' },
      body: JSON.stringify({ selection: { filter: { street: 'Gantry Avenue' } }, night: '2027-05-04' }),
    });
  }, 120_000);
  afterAll(async () => {
    await browser?.close();
    await server?.stop();
  }, 60_000);

  const open = async (width = 1440, height = 900) => {
    const watched = await openPage(browser, width, height);
    await watched.page.goto(server.address);
    await watched.page.getByRole('button', { name: 'Plots' }).click();
    await watched.page.locator('.plot-part').nth(3).waitFor();
    return watched;
  };

  it('draw what the server counted, say it, and give the numbers', async () => {
    const { page, faults } = await open();
    const { netBuildup, worst } = await (await fetch(`${project}/plots`)).json();
    const part = page.getByRole('region', { name: 'Net buildup', exact: true });
    const known = netBuildup.bins.reduce((sum: number, { covers }: { covers: number }) => sum + covers, 0);
    expect(await part.locator('.plot-finding').textContent()).toMatch(
      new RegExp(`^${known} covers need from`),
    );
    await part.getByText('As numbers').click();
    const numbers = (await part.locator('td.number').allTextContents()).map(Number);
    expect(numbers.reduce((sum, count) => sum + count, 0)).toBe(known + netBuildup.unknown);
    const rims = page.getByRole('region', { name: 'Worst rim error of each stack' });
    const stacks = worst.bins.reduce((sum: number, { covers }: { covers: number }) => sum + covers, 0);
    expect(await rims.locator('.plot-finding').textContent()).toMatch(
      new RegExp(`of ${stacks} stacks bring the rim within ¼ in`),
    );
    expect(await rims.getByText('within the tolerance of ¼ in').count()).toBe(1);
    expect(faults).toEqual([]);
    await page.close();
  });

  it('lead from a street to its covers', async () => {
    const { page } = await open();
    await page.getByRole('button', { name: 'Weir Parkway' }).click();
    await page.locator('.chip', { hasText: 'Weir Parkway' }).waitFor();
    const shown = async () => [...new Set(await page.locator('tbody .col-street').allTextContents())];
    await eventually(shown).toEqual(['Weir Parkway']);
    await page.close();
  });

  it('lead from a part of a night to its covers, on map and table', async () => {
    const { page } = await open();
    const part = page.getByRole('button', { name: /^\d+ Planned, Tue 4 May/ });
    const count = /\d+/.exec((await part.textContent())!)![0];
    await part.click();
    await page.locator('.chip', { hasText: '2027-05-04' }).waitFor();
    await eventually(() => page.locator('.search [role=status]').textContent()).toMatch(
      new RegExp(`^${count} of`),
    );
    await page.close();
  });

  it.each([
    [1440, 900],
    [1024, 768],
    [390, 844],
  ])('have no fault that axe-core finds at %d x %d', async (width, height) => {
    const { page, faults } = await open(width, height);
    expect(await violationsOf(page)).toEqual([]);
    expect(await page.evaluate(() => document.documentElement.scrollWidth - innerWidth)).toBeLessThanOrEqual(
      0,
    );
    expect(faults).toEqual([]);
    await page.close();
  });
});
