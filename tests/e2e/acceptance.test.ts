import { randomUUID } from 'node:crypto';
import type { Browser } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { Facts, RecordKind } from '#core/field/facts.ts';
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

describe.skipIf(browserPath === null)('acceptance on the card', { timeout: 120_000 }, () => {
  let server: RunningServer;
  let browser: Browser;
  let records: string;
  beforeAll(async () => {
    [server, browser] = await Promise.all([startServer(), startBrowser()]);
    const api = `${server.address}/api/agencies`;
    const [agency] = (await (await fetch(api)).json()).items;
    const [project] = (await (await fetch(`${api}/${agency.id}/projects`)).json()).items;
    records = `${api}/${agency.id}/projects/${project.id}/field-records`;
  }, 120_000);
  afterAll(async () => {
    await browser?.close();
    await server?.stop();
  }, 60_000);

  /** What somebody else sends from another device. */
  async function fromElsewhere<Kind extends RecordKind>(kind: Kind, facts: Facts[Kind]): Promise<void> {
    const record = {
      ...{ id: randomUUID(), structureId: cover, kind, facts, by: 'Ida Brook', device: randomUUID() },
      ...{ deviceTime: new Date().toISOString(), seen: 0 },
    };
    const answer = await fetch(records, {
      method: 'POST',
      headers: { 'content-type': 'application/json' },
      body: JSON.stringify({ records: [record] }),
    });
    const { items } = await answer.json();
    expect(items[0].outcome).toBe('stored');
  }
  const rim = (errors: [number, number, number, number]) =>
    fromElsewhere('rimChecked', { method: 'level', rimErrorsM: errors, sigmaM: 0.0005 });

  it('follows at once what somebody else records: card, table and map, without a reload', async () => {
    const { page, faults } = await openPage(browser, 1440, 900);
    await page.goto(`${server.address}?cover=${cover}`);
    await page.locator('.entry').waitFor();
    await waitForCovers(page);
    await page.evaluate(() => Object.assign(window, { wasNeverLoadedAnew: true }));
    expect(await page.getByRole('region', { name: 'Acceptance' }).count()).toBe(0);
    await rim([0.02, 0.02, 0.02, 0.02]);
    const panel = page.getByRole('region', { name: 'Acceptance' });
    await panel.getByText('Past a limit.').waitFor();
    await panel.getByText(/The rim is .* proud at/).waitFor();
    await panel.getByRole('img', { name: /^Rim round the clock: worst/ }).waitFor();
    await page.getByRole('region', { name: 'New stack' }).getByText('Worst').waitFor();
    const readings = [0, 1.5, 3].map((atM, index) => ({
      ...{ atM, downM: index === 1 ? 0.0254 / 4 : 0 },
      on: index === 1 ? ('casting' as const) : ('mat' as const),
    }));
    const along = { gapM: 0, proudM: 0, readings };
    await fromElsewhere('straightedge', { lengthM: 3, along, across: null });
    await panel
      .getByText(/^Straightedge of 9\.84 ft .*gap 0\.25 in.*0\.25 in at 4\.92 ft \(casting\)/)
      .waitFor();
    await eventually(() => drawnStatus(page, cover)).toBe('offGrade');
    const row = page.locator('tbody tr', { hasText: cover });
    await eventually(() => row.locator('.col-status').textContent()).toContain('Off grade');
    await eventually(() => page.locator('.history').textContent()).toMatch(/Rim checked: .*by Ida Brook/);
    expect(await page.evaluate(() => 'wasNeverLoadedAnew' in window)).toBe(true);
    expect(await violationsOf(page)).toEqual([]);
    expect(faults).toEqual([]);
    await page.close();
  });

  it('settles what contradicts itself, accepts by name, and takes it back', async () => {
    const { page, faults } = await openPage(browser, 1440, 900);
    await page.goto(`${server.address}?cover=${cover}`);
    const panel = page.getByRole('region', { name: 'Acceptance' });
    await panel.waitFor();
    await rim([0.001, 0.001, 0.001, 0.001]);
    const conflict = panel.getByRole('group', { name: /contradict each other/ });
    await conflict.waitFor();
    expect(await conflict.getByRole('radio').count()).toBe(2);
    await conflict.getByRole('radio').nth(1).check();
    await conflict.getByLabel('Your name').fill('Ann Quill');
    await conflict.getByLabel('Reason').fill('Levelled it again myself');
    await conflict.getByRole('button', { name: 'This one holds' }).click();
    await panel.getByText('Nothing stands against it.').waitFor();
    await conflict.waitFor({ state: 'detached' });
    // The name is remembered at this desk; against the measurements a reason is asked for.
    await eventually(() => panel.getByLabel('Your name').inputValue()).toBe('Ann Quill');
    await panel.getByRole('button', { name: 'Not accepted' }).click();
    await panel.getByText('give your reason').waitFor();
    await panel.getByRole('button', { name: 'Accept', exact: true }).click();
    await panel.getByText(/^Accepted by Ann Quill/).waitFor();
    await eventually(() => page.locator('.card h2').textContent()).toContain('Accepted');
    await panel.getByLabel('Reason').fill('The wrong cover');
    await panel.getByRole('button', { name: 'Take this back' }).click();
    await panel.getByText('Nobody has accepted it yet.').waitFor();
    await eventually(() => page.locator('.card h2').textContent()).not.toContain('Accepted');
    expect(await violationsOf(page)).toEqual([]);
    expect(faults).toEqual([]);
    await page.close();
  });
});
