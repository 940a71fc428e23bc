import type { Browser, Locator, Page } from 'playwright-core';
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

/** Pixels between the corner that was set by keyboard, as the map draws it, and the middle of the cross. */
const cornerFromCross = (page: Page) =>
  page.evaluate(async () => {
    const { rimplaneZoneMap: map } = window as unknown as { rimplaneZoneMap: import('maplibre-gl').Map };
    const find = () => map.queryRenderedFeatures({ layers: ['draft-corners'] })[0];
    for (let tries = 0; !find() && tries < 100; tries++) await new Promise((done) => setTimeout(done, 50));
    const drawn = map.project((find().geometry as GeoJSON.Point).coordinates as [number, number]);
    const canvas = map.getCanvas().getBoundingClientRect();
    const cross = document.querySelector('.crosshair')!.getBoundingClientRect();
    const [x, y] = [cross.x + cross.width / 2, cross.y + cross.height / 2];
    return Math.hypot(canvas.x + drawn.x - x, canvas.y + drawn.y - y);
  });

describe.skipIf(browserPath === null)('what finished grades come from', { timeout: 120_000 }, () => {
  let server: RunningServer;
  let browser: Browser;
  beforeAll(async () => {
    [server, browser] = await Promise.all([startServer(), startBrowser()]);
  }, 120_000);
  afterAll(async () => {
    await browser?.close();
    await server?.stop();
  }, 60_000);

  const openGrade = async (width: number, height: number) => {
    const opened = await openPage(browser, width, height);
    await opened.page.goto(server.address);
    await opened.page.getByRole('button', { name: 'Grade', exact: true }).click();
    await opened.page.waitForFunction(() => 'rimplaneZoneMap' in window);
    return opened;
  };
  const zones = (page: Page) => page.getByRole('region', { name: 'Zones of treatment' });

  it('is found from the desk; a zone is drawn on the map, stored with its figures, changed and removed', async () => {
    const { page, faults } = await openGrade(1440, 900);
    await page.getByRole('button', { name: 'Draw a zone' }).click();
    await page.getByRole('button', { name: 'Store the zone' }).click();
    await eventually(() => zones(page).textContent()).toContain('three corners or more');

    await page.getByLabel('Name', { exact: true }).fill('Whole street');
    await page.getByLabel('Mill depth, in').fill('1 1/2');
    await page.getByLabel('Lifts, bottom first, in').fill('1 1/2, 2');
    const map = page.locator('.zone-map');
    await map.scrollIntoViewIfNeeded();
    await page.getByRole('button', { name: 'Corner at the cross' }).waitFor();
    const { width, height } = (await map.boundingBox())!;
    for (const [x, y] of [
      [60, 20],
      [width - 20, 20],
      [width - 20, height - 50],
      [60, height - 50],
    ])
      await map.click({ position: { x, y } });
    await eventually(() => zones(page).textContent()).toContain('4 corners');
    await page.getByRole('button', { name: 'Store the zone' }).click();
    await eventually(() => zones(page).locator('li').allTextContents()).toEqual([
      expect.stringMatching(
        /^Whole street mill 1 1\/2 in; lay 1 1\/2 in, 2 in, bottom lift first; [1-9]\d* covers/,
      ),
    ]);

    await page.getByRole('button', { name: 'Change Whole street' }).click();
    await page.getByLabel('Mill depth, in').fill('40 mm');
    await page.getByRole('button', { name: 'Store the zone' }).click();
    await eventually(() => zones(page).locator('li').textContent()).toMatch(/mill 1\.575 in/);
    await page.getByRole('button', { name: 'Map', exact: true }).click();
    const onDesk = () =>
      page.evaluate(() => {
        const { rimplaneMap: map } = window as unknown as { rimplaneMap?: import('maplibre-gl').Map };
        if (!map?.getLayer('zone-edges')) return [];
        return map.queryRenderedFeatures({ layers: ['zone-edges'] }).map(({ properties }) => properties.name);
      });
    await eventually(onDesk).toContain('Whole street');
    await page.getByRole('button', { name: 'Grade', exact: true }).click();

    await page.getByRole('button', { name: 'Remove Whole street' }).click();
    const asked = page.getByRole('group', { name: 'Remove Whole street?' });
    await asked.getByRole('button', { name: 'Keep it' }).press('Escape');
    expect(await zones(page).locator('li').count()).toBe(1);
    await page.getByRole('button', { name: 'Remove Whole street' }).click();
    await asked.getByRole('button', { name: 'Remove it' }).click();
    await eventually(() => zones(page).locator('li').count()).toBe(0);
    expect(faults).toEqual([]);
    await page.close();
  });

  it('takes a chimney limit of the agency or the project, says whose it is, and gives it back', async () => {
    const { page, faults } = await openGrade(1440, 900);
    const limit = page.locator('.chimney-limit');
    await eventually(() => limit.textContent()).toContain("14 in, the ring catalogue's");
    const set = async (size: string, whose: string) => {
      await limit.getByRole('button', { name: 'Set the chimney limit' }).click();
      await limit.getByLabel('Limit, in').fill(size);
      await limit.getByLabel('Whose it is').selectOption(whose);
      await limit.getByRole('button', { name: 'Set it' }).click();
    };
    await set('none', 'agency');
    await limit.getByText('"none" is').waitFor();
    expect(await violationsOf(page)).toEqual([]);
    await limit.getByRole('button', { name: 'Leave it' }).click();
    await set('12 1/2', 'agency');
    await eventually(() => limit.textContent()).toContain("12½ in, the agency's");
    await set('11', 'project');
    await eventually(() => limit.textContent()).toContain("11 in, the project's");
    await page.getByRole('button', { name: 'Next overlay' }).click();
    await page.getByText("Chimneys are held to 11 in, the project's.").waitFor();
    await page.getByRole('button', { name: 'Grade', exact: true }).click();
    await limit.getByRole('button', { name: 'Take it back' }).click();
    await eventually(() => limit.textContent()).toContain("12½ in, the agency's");
    await limit.getByRole('button', { name: 'Take it back' }).click();
    await eventually(() => limit.textContent()).toContain("the ring catalogue's");
    expect(faults).toEqual([]);
    await page.close();
  });

  it('takes the time zone of papers and the mass that one person lifts, and no plan is the worse for it', async () => {
    const { page, faults } = await openGrade(1440, 900);
    const limits = page.getByRole('region', { name: 'Limits' });
    const set = async (what: string, field: string, text: string) => {
      await limits.getByRole('button', { name: `Set ${what}`, exact: true }).click();
      await limits.getByLabel(field).fill(text);
      await limits.getByRole('button', { name: 'Set it' }).click();
    };
    const again = page.getByRole('button', { name: 'Plan again' });
    const before = await again.count();
    await set('the time zone of papers', 'Time zone', 'Mars/Olympus');
    await limits.getByText('"Mars/Olympus" is no time zone').waitFor();
    expect(await violationsOf(page)).toEqual([]);
    await limits.getByRole('button', { name: 'Leave it' }).click();
    await set('the time zone of papers', 'Time zone', 'America/New_York');
    await eventually(() => limits.textContent()).toContain("those of America/New_York, the project's");
    await set('the mass that one person lifts', 'Over, lb', '44.1');
    await eventually(() => limits.textContent()).toContain(
      "over 20 kg (44 lb) two persons or a lifting device, the project's",
    );
    expect(await again.count()).toBe(before);
    for (const what of ['time zone', 'mass that one person']) {
      const back = limits.getByRole('button', { name: new RegExp(`^Take it back.*${what}`) });
      await back.click();
      await eventually(() => back.count()).toBe(0);
    }
    await eventually(() => limits.textContent()).toContain('over 23 kg (50 lb)');
    expect(faults).toEqual([]);
    await page.close();
  });

  it('takes the rope of a vacuum test into the plan, and sizes of sealants without one', async () => {
    const { page, faults } = await openGrade(1440, 900);
    const sealing = page.getByRole('region', { name: 'Sealing' });
    const set = async (what: string, fill: (form: Locator) => Promise<unknown>) => {
      await sealing.getByRole('button', { name: `Set ${what}`, exact: true }).click();
      const form = sealing.locator('.limit-form');
      await fill(form);
      await form.getByRole('button', { name: 'Set it' }).click();
    };
    const again = page.getByRole('button', { name: 'Plan again' });
    const planned = () => eventually(() => again.or(page.locator('.planning')).count()).toBe(0);
    // The chimney limits above left the plan behind.
    if ((await again.count()) > 0) await again.click();
    await planned();
    await set('the circle', (form) => form.getByLabel('Size, in').fill('31'));
    await eventually(() => sealing.textContent()).toContain("31 in, the agency's");
    await set('the cartridge', (form) => form.getByLabel('Volume, fl oz').fill('a tube'));
    await sealing.getByText('"a tube" is no volume').waitFor();
    expect(await violationsOf(page)).toEqual([]);
    await sealing.getByRole('button', { name: 'Leave it' }).click();
    await set('the joins', (form) => form.getByLabel('Number, or any').fill('any'));
    await eventually(() => sealing.textContent()).toContain("any, the project's");
    expect(await again.count()).toBe(0);
    await set('the thick rope', (form) => form.getByLabel('Size, in').fill('0.3'));
    await eventually(() => sealing.textContent()).toContain("0.3 in, the project's");
    await set('the vacuum test', (form) => form.getByLabel('Asked for').selectOption('all'));
    await eventually(() => sealing.textContent()).toContain("of every structure, the project's");
    await again.click();
    await planned();
    await page.goto(`${server.address}?cover=SS-0570`);
    await page.getByText('counted with 0.30 in of thick rope each, pressed, for the vacuum test.').waitFor();
    expect(faults).toEqual([]);
    await page.close();
  });

  it.each([
    [1440, 900],
    [1024, 768],
    [390, 844],
  ])(
    'has no fault that axe-core finds at %d x %d while a zone is drawn by keyboard',
    async (width, height) => {
      const { page, faults } = await openGrade(width, height);
      await page.getByRole('button', { name: 'Draw a zone' }).press('Enter');
      await page.getByRole('button', { name: 'Corner at the cross' }).press('Enter');
      await eventually(() => zones(page).textContent()).toContain('1 corner on the map');
      expect(await cornerFromCross(page)).toBeLessThan(2);
      expect(await violationsOf(page)).toEqual([]);
      const wide = await page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
      expect(wide).toBeLessThanOrEqual(0);
      expect(faults).toEqual([]);
      await page.close();
    },
  );
});
