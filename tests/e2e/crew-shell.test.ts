import { mkdirSync } from 'node:fs';
import { join } from 'node:path';
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { AnyMade } from '#core/field/facts.ts';
import type { CoverCard } from '#shared/cover.ts';
import { nightText } from '../../web/night-words.ts';
import {
  assignNight,
  bar,
  crew,
  type NightServer,
  night,
  openCover,
  phone,
  startNight,
  toList,
} from './crew-night.ts';
import { goTo, openStep } from './hole-page/hand.ts';
import { faintOrSmall } from './hole-page/measure.ts';
import { browserPath, eventually, openPage, startBrowser, violationsOf } from './running.ts';

const shots = process.env.SCREENSHOTS;

describe.skipIf(browserPath === null)('the crew’s page round its covers', { timeout: 180_000 }, () => {
  let server: NightServer;
  let browser: Browser;
  let cards: CoverCard[];
  beforeAll(async () => {
    if (shots) mkdirSync(shots, { recursive: true });
    [browser, server] = await Promise.all([startBrowser(), startNight()]);
    cards = await assignNight(server, 4);
    const [plated, disagreed] = cards.map(({ structure: { id } }) => id);
    await record(plated, 'plated', {
      plate: 'P-14',
      rimElevationM: null,
      ties: [{ to: 'Hydrant', distanceM: 5.588 }],
    });
    for (const outcome of ['found', 'notFound'])
      await record(disagreed, 'found', { outcome, ties: [], note: '' });
  }, 150_000);
  afterAll(async () => {
    await browser?.close();
    await server?.stop();
  }, 60_000);

  /** Of another phone each time. */
  async function record(structureId: string, kind: string, facts: object): Promise<void> {
    const id = crypto.randomUUID();
    const made = { id, structureId, kind, facts, by: 'B. Tarn', device: crypto.randomUUID(), seen: 0 };
    const records = [{ ...made, deviceTime: new Date().toISOString() } as unknown as AnyMade];
    const answer = await server.send('POST', `${server.project()}/field-records`, { records });
    expect((await answer.json()).items[0].outcome).toBe('stored');
  }

  it.each([
    ['a phone', 390, 844],
    ['a tablet', 1024, 768],
    ['a desk', 1440, 900],
  ])('is big, plain and read by a screen reader on %s', async (_, width, height) => {
    const check = async (page: Page, what: string) => {
      if (shots) await page.screenshot({ path: join(shots, `${what.replace(/\W/g, '-')}-${width}.png`) });
      expect.soft({ what, faults: await faintOrSmall(page, '#app *') }).toEqual({ what, faults: [] });
      expect.soft({ what, faults: await violationsOf(page) }).toEqual({ what, faults: [] });
    };
    const first = await openPage(browser, width, height);
    await first.page.goto(`${server.address()}/crew`);
    await first.page.getByLabel('Your name').waitFor();
    await check(first.page, 'who');
    await first.page.getByLabel('Your name').fill('R. Pell');
    await first.page.getByRole('button', { name: 'That is me' }).click();
    await first.page.getByRole('button', { name: new RegExp(`${nightText(night)}, ${crew}`) }).waitFor();
    await check(first.page, 'which night');
    await first.page.close();

    const { page } = await phone(browser, server, { name: 'R. Pell', size: [width, height] });
    await page.locator('.crew-conflicts, .crew-flag').first().waitFor();
    await check(page, 'list');
    expect(await page.locator('.crew-raise .hidden').first().textContent()).toMatch(
      /^(\d+ )?(\d+\/\d+ )? *in$/,
    );
    await page.locator('.crew-plate-line').click();
    await page.getByRole('heading', { name: '1 plated, to be reopened' }).waitFor();
    expect(await page.locator('.crew-what').textContent()).toContain('18 ft 4 in to Hydrant');
    await check(page, 'plates');
    await page.locator('.crew-row').click();
    await page.getByRole('button', { name: 'Read, go to the cover' }).click();
    expect(await page.locator('.crew-plate-line').isVisible()).toBe(true);
    await check(page, 'cover');
    await toList(page);
    await openCover(page, cards[1].structure.id);
    await check(page, 'disagreed cover');
    await page.getByRole('link', { name: 'Two phones disagree: choose one' }).click();
    await check(page, 'conflict');
    await page.context().setOffline(true);
    await page.locator('.crew-way a').first().click();
    await openCover(page, cards[2].structure.id);
    await goTo(page, 'Steps');
    await openStep(page, 'Backfill');
    await page.getByRole('button', { name: 'Concrete' }).click();
    await page.getByRole('button', { name: 'Record the backfill' }).click();
    await page.locator('.crew-bar').click();
    await check(page, 'unsent');
    await page.context().close();
  });

  it('takes a plan that was changed in the office, and keeps the one that was built to', async () => {
    const { page } = await phone(browser, server, { name: 'A. Quill' });
    const [, , one, two] = cards;
    // The office plans anew before it hears of the stack.
    await page.context().setOffline(true);
    await openCover(page, one.structure.id);
    await goTo(page, 'Steps');
    await openStep(page, 'Dry stack');
    for (const hour of [12, 3, 6, 9]) await page.getByLabel(`Rim at ${hour} o’clock`).fill('0');
    await page.getByText('Marked: one chalk line').click();
    await page.getByRole('button', { name: 'Record the dry stack' }).click();
    await eventually(() => bar(page)).toMatch(/No signal.*1 unsent/);
    const revision = (card: CoverCard) => card.plan?.revision;
    for (const { structure } of [one, two]) {
      const path = `/agencies/${server.project().split('/')[2]}/structures/${encodeURIComponent(structure.id)}`;
      const { version } = await server.read<{ version: number }>(path);
      const body = { setDownM: structure.setDownM + 0.0254 };
      const answer = await server.send('PATCH', path, body, { 'if-match': `"${version}"` });
      expect(answer.status).toBe(200);
    }
    const job = await fetch(`${server.address()}/api${server.project()}/plans`, { method: 'POST' });
    expect(job.status).toBeLessThan(300);
    const isPlanned = async () => {
      const path = `${server.project()}/covers/${encodeURIComponent(one.structure.id)}`;
      return revision(await server.read<CoverCard>(path)) !== revision(one);
    };
    await eventually(isPlanned).toBe(true);
    await page.context().setOffline(false);
    const words = page.locator('.crew-plan-came');
    await eventually(() => words.textContent()).toMatch(
      new RegExp(`Plan \\d+ came in; you have built to plan ${revision(one)}\\.`),
    );
    if (shots) await page.screenshot({ path: join(shots, 'plan-came-390.png') });
    expect(await faintOrSmall(page, '#app *')).toEqual([]);
    await goTo(page, 'Stack');
    expect(await page.locator('.which-plan').textContent()).toContain(`Plan ${revision(one)},`);
    await page.getByRole('button', { name: /^Plan \d+, new$/ }).click();
    expect(await page.locator('.which-plan').textContent()).not.toContain(`Plan ${revision(one)},`);
    await page.getByRole('button', { name: /, built to$/ }).click();
    expect(await page.locator('.which-plan').textContent()).toContain(`Plan ${revision(one)},`);
    await toList(page);
    await openCover(page, two.structure.id);
    expect(await words.count()).toBe(0);
    expect(await page.locator('.which-plan').textContent()).not.toContain(`Plan ${revision(two)},`);
    await page.context().close();
  });
});
