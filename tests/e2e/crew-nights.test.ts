import type { Browser } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { CoverCard } from '#shared/cover.ts';
import { nightText } from '../../web/night-words.ts';
import { assignNight, crew, type NightServer, openCover, phone, startNight, toList } from './crew-night.ts';
import { goTo, openStep } from './hole-page/hand.ts';
import { browserPath, eventually, openPage, startBrowser } from './running.ts';

const other = '2031-05-09';

describe.skipIf(browserPath === null)('several nights', { timeout: 120_000 }, () => {
  let server: NightServer;
  let browser: Browser;
  let cards: CoverCard[];
  beforeAll(async () => {
    [browser, server] = await Promise.all([startBrowser(), startNight()]);
    cards = await assignNight(server, 3);
    const [last] = cards.slice(-1);
    const body = { selection: { ids: [last.structure.id] }, crew, night: other };
    const answer = await server.send('POST', `${server.project()}/covers/assign`, body);
    expect(answer.status).toBe(200);
  }, 150_000);
  afterAll(async () => {
    await browser?.close();
    await server?.stop();
  }, 60_000);

  it('lead from the list of plates to a cover of another night, without a signal too', async () => {
    const { page } = await phone(browser, server, { name: 'R. Pell' });
    const plated = cards[0].structure.id;
    await openCover(page, plated);
    await goTo(page, 'Steps');
    await openStep(page, 'Lower and plate');
    await page.getByLabel('Plate number').fill('P-21');
    await page.getByRole('button', { name: 'Record: lowered and plated' }).click();
    await page.getByText('1 plated, to be reopened').waitFor();
    await toList(page);
    await page.getByRole('button', { name: 'Another night' }).click();
    await page.getByRole('button', { name: new RegExp(`${nightText(other)}, ${crew}`) }).click();
    await eventually(() => page.locator('.crew-list li').count()).toBe(1);
    await page.context().setOffline(true);
    await page.locator('.crew-plate-line').click();
    const row = page.locator('.crew-row');
    expect(await row.textContent()).toMatch(new RegExp(`${plated}.*Plate P-21`));
    await row.click();
    await eventually(() => page.evaluate(() => location.hash)).toBe(`#/${encodeURIComponent(plated)}`);
    expect(await page.locator('.hole').textContent()).toContain(plated);
    expect(await page.locator('.hole').textContent()).toMatch(/Plated/);
    await toList(page);
    // Its own night is the open one now.
    await eventually(() => page.locator('h1').textContent()).toBe(nightText(cards[0].night!));
    expect(await page.locator('.crew-list li').count()).toBe(2);
    await page.context().close();
  });

  it('lead from a night at the desk to the crew page', async () => {
    const { page } = await openPage(browser, 1440, 900);
    await page.goto(`${server.address()}/?night=${other}`);
    const link = page.getByRole('link', { name: 'Crew page' });
    const opening = page.waitForEvent('popup');
    await link.click();
    const crewPage = await opening;
    await crewPage.getByLabel('Your name').waitFor();
    expect(new URL(crewPage.url()).pathname).toBe('/crew');
    await page.close();
  });
});
