import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import {
  browserPath,
  drawnStatus,
  eventually,
  openPage,
  type RunningServer,
  startBrowser,
  startServer,
  violationsOf,
  waitForCovers,
} from './running.ts';

const cover = 'SS-0187';

describe.skipIf(browserPath === null)('a register entry changed on the card', { timeout: 120_000 }, () => {
  let server: RunningServer;
  let browser: Browser;
  beforeAll(async () => {
    [server, browser] = await Promise.all([startServer(), startBrowser()]);
    await takeOffNight();
  }, 120_000);
  afterAll(async () => {
    await browser?.close();
    await server?.stop();
  }, 60_000);

  /** A cover that a crew was sent to shows that, whatever its plan becomes. */
  async function takeOffNight(): Promise<void> {
    const api = `${server.address}/api/agencies`;
    const [agency] = (await (await fetch(api)).json()).items;
    const [project] = (await (await fetch(`${api}/${agency.id}/projects`)).json()).items;
    const answer = await fetch(`${api}/${agency.id}/projects/${project.id}/covers/assign`, {
      method: 'POST',
      headers: { 'content-type': 'application/json' },
      body: JSON.stringify({ selection: { ids: [cover] }, crew: null, night: null }),
    });
    expect(answer.ok).toBe(true);
  }

  const open = async (width = 1440, height = 900) => {
    const watched = await openPage(browser, width, height);
    await watched.page.goto(`${server.address}?cover=${cover}`);
    await watched.page.locator('.entry').waitFor();
    return watched;
  };
  const begin = (page: Page) => page.getByRole('button', { name: 'Change', exact: true }).click();
  const store = (page: Page) => page.getByRole('button', { name: 'Store the changes' }).click();
  const undo = (page: Page) => page.locator('.entry-done').getByRole('button', { name: 'Undo' }).click();

  it('shows at once on card, table and map, without a reload, and so does its undo', async () => {
    const { page, faults } = await open();
    await waitForCovers(page);
    await page.evaluate(() => Object.assign(window, { wasNeverLoadedAnew: true }));
    const row = page.locator('tbody tr', { hasText: cover });
    const statusBefore = await drawnStatus(page, cover);
    expect(statusBefore).toBe('raise');
    await begin(page);
    await page.getByLabel('Seat or chimney unsound').selectOption('yes');
    await page.getByLabel('Owner', { exact: true }).fill('Storm Division');
    await store(page);
    await eventually(() => drawnStatus(page, cover)).toBe('rebuild');
    await eventually(() => row.locator('.col-status').textContent()).toContain('Rebuild');
    await eventually(() => page.locator('.card h2').textContent()).toContain('Rebuild');
    await eventually(() => page.locator('.card-head').textContent()).toContain('Storm Division');
    await undo(page);
    await eventually(() => drawnStatus(page, cover)).toBe('raise');
    await eventually(() => row.locator('.col-status').textContent()).toContain('Raise');
    await eventually(() => page.locator('.card-head').textContent()).not.toContain('Storm Division');
    expect(await page.evaluate(() => 'wasNeverLoadedAnew' in window)).toBe(true);
    expect(faults).toEqual([]);
    await page.close();
  });

  it('names the field that is wrong, keeps what was typed, and has the focus there', async () => {
    const { page } = await open();
    await begin(page);
    await page.getByLabel('Frame height').fill('90 in');
    await store(page);
    await page.getByText('Frame height can be 78.74 in at most.').waitFor();
    expect(await page.getByLabel('Frame height').inputValue()).toBe('90 in');
    expect(await page.evaluate(() => document.activeElement?.getAttribute('aria-invalid'))).toBe('true');
    expect(await violationsOf(page)).toEqual([]);
    await page.getByLabel('Frame height').fill('7 1/2');
    await store(page);
    await eventually(() => page.locator('.entry dl').textContent()).toContain('7.50 in');
    await eventually(() => page.locator('.history').textContent()).toMatch(
      /frame height [\d.]+ in to 7.50 in/,
    );
    await undo(page);
    await eventually(() => page.locator('.entry dl').textContent()).not.toContain('7.50 in');
    await page.close();
  });

  it('shows what somebody else made of it meanwhile, and puts nothing over it unseen', async () => {
    const { page } = await open();
    await begin(page);
    await page.getByLabel('Owner', { exact: true }).fill('Mine');
    const [agency] = (await (await fetch(`${server.address}/api/agencies`)).json()).items;
    const address = `${server.address}/api/agencies/${agency.id}/structures/${cover}`;
    const { version } = await (await fetch(address)).json();
    await fetch(address, {
      method: 'PATCH',
      headers: { 'content-type': 'application/json', 'if-match': `"${version}"` },
      body: JSON.stringify({ owner: 'Theirs' }),
    });
    await store(page);
    await page.getByText('Somebody made it Theirs meanwhile').waitFor();
    expect(await page.getByLabel('Owner', { exact: true }).inputValue()).toBe('Mine');
    expect((await (await fetch(address)).json()).owner).toBe('Theirs');
    await page.getByText('Store again to put yours in its place').waitFor();
    await store(page);
    await eventually(() => page.locator('.card-head').textContent()).toContain('Mine');
    await undo(page);
    await eventually(() => page.locator('.card-head').textContent()).toContain('Theirs');
    await page.close();
  });

  it('takes a levelled rim, draws it by date and says the trend from the third on', async () => {
    const { page, faults } = await open();
    const years = page.getByRole('region', { name: 'Over the years' });
    await years.getByText('No trend: 0 levellings').waitFor();
    const add = async (date: string, rim: string, pavement: string) => {
      await years.getByRole('button', { name: 'Add a levelled rim' }).click();
      await years.getByLabel('Levelled on').fill(date);
      await years.getByLabel('Rim, ft').fill(rim);
      await years.getByLabel('Pavement beside it, ft').fill(pavement);
      await years.getByRole('button', { name: 'Store the rim' }).click();
      await years.getByRole('button', { name: 'Add a levelled rim' }).waitFor();
    };
    await add('2022-06-01', '710.18', '710.19');
    await add('2023-06-01', '710.175', '710.19');
    await add('2024-06-01', '710.17', '710.19');
    await years.getByText(/The rim sinks against the pavement: 0.0[56]\d in .* from 3 levellings/).waitFor();
    await years.getByRole('img', { name: /^Rim by date, 4 records/ }).waitFor();
    expect(await years.locator('dl').textContent()).toMatch(
      /Chimney now.* in.*Raise left.* in.*Overlays left/,
    );
    // A rim of a day before the register's own leaves that as it is.
    expect(await page.locator('.entry dl').textContent()).toContain('710.16 ft');
    await years.getByRole('button', { name: 'Add a levelled rim' }).click();
    await years.getByLabel('Rim, ft').fill('high');
    await years.getByRole('button', { name: 'Store the rim' }).click();
    await years.getByText('The rim "high" is').waitFor();
    expect(await violationsOf(page)).toEqual([]);
    expect(faults).toEqual([]);
    await page.close();
  });

  it.each([
    [1024, 768],
    [390, 844],
  ])('has no fault that axe-core finds at %d x %d', async (width, height) => {
    const { page } = await open(width, height);
    await begin(page);
    expect(await violationsOf(page)).toEqual([]);
    expect(await page.evaluate(() => document.documentElement.scrollWidth - innerWidth)).toBeLessThanOrEqual(
      0,
    );
    await page.close();
  });
});
