import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { sayTakeoff } from '#core/supply/words.ts';
import type { Takeoff } from '#shared/takeoff.ts';
import {
  browserPath,
  eventually,
  openPage,
  type RunningServer,
  startBrowser,
  startServer,
  violationsOf,
} from './running.ts';

const headline = (page: Page) => page.locator('.takeoff-finding .headline').textContent();

describe.skipIf(browserPath === null)('the takeoff of a project', { timeout: 90_000 }, () => {
  let server: RunningServer;
  let browser: Browser;
  let project: string;
  beforeAll(async () => {
    [server, browser] = await Promise.all([startServer(), startBrowser()]);
    const [agency] = (await (await fetch(`${server.address}/api/agencies`)).json()).items;
    const projects = `${server.address}/api/agencies/${agency.id}/projects`;
    project = `${projects}/${(await (await fetch(projects)).json()).items[0].id}`;
  }, 120_000);
  afterAll(async () => {
    await browser?.close();
    await server?.stop();
  }, 60_000);

  const asked = async (query = ''): Promise<Takeoff> =>
    (await fetch(`${project}/takeoff?${query}`)).json() as Promise<Takeoff>;
  const said = ({ totals, covers, leftOut }: Takeoff) => sayTakeoff({ ...totals, covers, leftOut });

  const open = async (query = '?page=takeoff', width = 1440, height = 900) => {
    const watched = await openPage(browser, width, height);
    await watched.page.goto(server.address + query);
    await watched.page.locator('.takeoff-finding .headline').waitFor();
    return watched;
  };

  it('is a page whose name is in full sight beside the desk on a tablet', async () => {
    const { page } = await openPage(browser, 1024, 768);
    await page.goto(server.address);
    await page.getByRole('button', { name: 'Plan again' }).waitFor();
    const room = await page
      .locator('.top nav')
      .evaluate(({ clientWidth, scrollWidth }) => ({ clientWidth, scrollWidth }));
    expect(room.scrollWidth).toBe(room.clientWidth);
    await page.close();
  });

  it('says what the server counted, lists the rings, and adds up by street', async () => {
    const { page, faults } = await openPage(browser, 1440, 900);
    await page.goto(server.address);
    await page.getByRole('button', { name: 'Takeoff' }).click();
    await page.locator('.ring-list tbody tr').first().waitFor();
    const found = await asked('by=street');
    expect(found.totals.needed).toBeGreaterThan(100);
    expect(await headline(page)).toBe(said(found));
    const rows = await page.locator('.ring-list tbody tr').count();
    expect(rows).toBe(found.rings.filter(({ needed, spare }) => needed + spare > 0).length);
    const cells = await page.locator('.divided tbody tr td:nth-child(6)').allTextContents();
    const sum = cells.reduce((so, text) => so + Number(text.replace(',', '').replace('·', '0')), 0);
    expect(sum).toBe(found.totals.needed);
    expect(await page.locator('.left-out li > b').allTextContents()).toEqual(
      found.reasons.map(({ covers }) => String(covers)),
    );
    expect(faults).toEqual([]);
    await page.close();
  });

  it('holds filter, division and view in its address', async () => {
    const { page } = await open();
    await page.getByRole('button', { name: 'Weir Parkway' }).click();
    const street = await asked('street=Weir%20Parkway');
    await eventually(() => headline(page)).toBe(said(street));
    await page.getByRole('button', { name: 'By night' }).click();
    await page.getByRole('button', { name: 'Only what is short' }).click();
    await eventually(async () => new URL(page.url()).search).toBe(
      '?page=takeoff&on=Weir%20Parkway&by=night&only=short',
    );
    await page.reload();
    await eventually(() => headline(page)).toBe(said(street));
    await page.getByRole('heading', { name: 'What is short' }).waitFor();
    const short = street.rings.filter((ring) => ring.short > 0).length;
    await eventually(() => page.locator('.ring-list tbody tr').count()).toBe(short);
    await page.getByRole('heading', { name: 'By night' }).waitFor();
    for (const link of ['Order list (PDF)', 'Save as a CSV file']) {
      const href = await page.getByRole('link', { name: link, exact: true }).first().getAttribute('href');
      const answer = await fetch(server.address + href!);
      expect([href!.includes('street=Weir+Parkway'), answer.status]).toEqual([true, 200]);
    }
    await page.close();
  });

  it('stores packs, spares and stock, says at a field what is wrong with it, and overwrites nobody', async () => {
    const { page, faults } = await open();
    await page.getByRole('button', { name: 'Change packs, spares and stock' }).click();
    const field = (name: string) => page.getByLabel(name, { exact: true });
    await field('Rings in a pack, FL-300').fill('2.5');
    await field('On hand, rings, FL-300').fill('10');
    await page.getByRole('button', { name: 'Store', exact: true }).click();
    await page.getByText('"2.5" is no whole number of rings.').waitFor();
    expect(await field('Rings in a pack, FL-300').getAttribute('aria-invalid')).toBe('true');
    expect(await violationsOf(page)).toEqual([]);
    await field('Rings in a pack, FL-300').fill('5');
    await page.getByRole('button', { name: 'Store', exact: true }).click();
    const row = page.locator('.ring-list tbody tr', { hasText: 'FL-300' });
    const ringOf = async () => (await asked()).rings.find(({ ring }) => ring === 'FL-300')!;
    await eventually(() => row.locator('.order b').textContent()).toMatch(/packs of 5$/);
    expect(await ringOf()).toMatchObject({ pack: 5, onHand: 10 });
    expect(await row.locator('.order b').textContent()).toBe(`${(await ringOf()).packs} packs of 5`);

    await page.getByRole('button', { name: 'Change packs, spares and stock' }).click();
    await field('On hand, rings, FL-300').fill('11');
    const now = await fetch(`${project}/ring-supplies`);
    await fetch(`${project}/ring-supplies`, {
      method: 'PATCH',
      headers: { 'content-type': 'application/json', 'if-match': now.headers.get('etag')! },
      body: JSON.stringify({ rings: [{ ring: 'FL-300', onHand: 33, pack: 7 }] }),
    });
    await page.getByRole('button', { name: 'Store', exact: true }).click();
    await page.getByText('Somebody changed these figures meanwhile').waitFor();
    await eventually(() => field('Rings in a pack, FL-300').inputValue()).toBe('7');
    expect(await field('On hand, rings, FL-300').inputValue()).toBe('11');
    expect((await ringOf()).onHand).toBe(33);
    await page.getByRole('button', { name: 'Store', exact: true }).click();
    await eventually(async () => (await ringOf()).onHand).toBe(11);
    expect((await ringOf()).pack).toBe(7);
    const opener = page.getByRole('button', { name: 'Change packs, spares and stock' });
    await eventually(() => opener.evaluate((button) => button === document.activeElement)).toBe(true);
    // The browser itself notes an answer that refuses.
    expect(faults.filter((fault) => !fault.includes('412'))).toEqual([]);
    await page.close();
  });

  it('is held to an area that is drawn on its map by pointer and keyboard, and to the outline of a zone', async () => {
    const { page, faults } = await open();
    const all = await asked();
    await page.getByRole('button', { name: 'Draw on the map' }).click();
    const canvas = page.locator('.takeoff-map canvas');
    await page.waitForFunction(
      () =>
        (
          window as unknown as { rimplaneTakeoffMap?: import('maplibre-gl').Map }
        ).rimplaneTakeoffMap?.getSource('area') !== undefined,
    );
    const { width, height } = (await canvas.boundingBox())!;
    const click = (x: number, y: number) => canvas.click({ position: { x: width * x, y: height * y } });
    await click(0.08, 0.1);
    await click(0.5, 0.1);
    expect(await headline(page)).toBe(said(all));
    // The third corner is where the cross is, the fourth again a click.
    await page.getByRole('button', { name: 'Corner at the cross' }).press('Enter');
    await click(0.1, 0.7);
    await page.getByText('area of 4 corners').waitFor();
    const corners = new URL(page.url()).searchParams.get('area')!;
    expect(corners.split(' ')).toHaveLength(4);
    const inside = await asked(`${new URLSearchParams({ polygon: corners })}`);
    expect(inside.covers).toBeGreaterThan(0);
    expect(inside.covers).toBeLessThan(all.covers);
    await eventually(() => headline(page)).toBe(said(inside));
    expect(await violationsOf(page)).toEqual([]);
    for (const link of ['Order list (PDF)', 'Save as a CSV file']) {
      const href = await page.getByRole('link', { name: link, exact: true }).first().getAttribute('href');
      expect(new URL(href!, server.address).searchParams.get('polygon')).toBe(corners);
      expect((await fetch(server.address + href!)).status).toBe(200);
    }

    // A fifth corner back across a side bounds nothing: said, and no figures beside it.
    await click(0.9, 0.3);
    await page.locator('.takeoff-area [role=alert]').waitFor();
    expect(await page.locator('.takeoff-finding').count()).toBe(0);
    await page.getByRole('button', { name: 'Take back the last' }).click();
    await eventually(() => headline(page)).toBe(said(inside));
    await page.getByRole('button', { name: 'Drawn', exact: true }).click();
    await page.reload();
    await eventually(() => headline(page)).toBe(said(inside));
    await page.getByRole('button', { name: /area of 4 corners/ }).click();
    await eventually(() => headline(page)).toBe(said(all));
    expect(await page.locator('.takeoff-map').count()).toBe(0);

    // A zone with the same outline need not be drawn again.
    const outline = corners.split(' ').map((corner) => corner.split(',').map(Number));
    const zone = {
      id: 'east',
      name: 'East end',
      millDepthM: 0,
      liftsM: [0.05],
      setDownM: null,
      geometry: { type: 'Polygon', coordinates: [[...outline, outline[0]]] },
    };
    const made = await fetch(`${project}/treatment-zones`, {
      method: 'POST',
      headers: { 'content-type': 'application/json' },
      body: JSON.stringify(zone),
    });
    expect(made.status).toBe(201);
    const outlines = page.getByLabel('Take the outline of a zone or line');
    await outlines.selectOption('zone East end');
    await page.getByText('area of 4 corners').waitFor();
    await eventually(() => headline(page)).toBe(said(inside));
    await page.goBack();
    await eventually(() => headline(page)).toBe(said(all));
    expect(faults).toEqual([]);
    await page.close();
  });

  it('is held to statuses, and goes back to where it was', async () => {
    const { page } = await open();
    const whole = await headline(page);
    await page.getByLabel('Add a status to the filter').selectOption('review');
    await eventually(() => headline(page)).toBe(said(await asked('status=review')));
    await page.getByLabel('Add a status to the filter').selectOption('lower');
    await eventually(() => headline(page)).toBe(said(await asked('status=review,lower')));
    await page.getByRole('button', { name: 'Take away the filter Review' }).click();
    await page.getByRole('button', { name: 'Take away the filter Lower' }).click();
    await eventually(() => headline(page)).toBe(whole);
    await page.close();
  });

  it('leads from a cover that is not in it to its card', async () => {
    const { page } = await open();
    const cover = page.locator('.left-out-ids .link').first();
    const id = await cover.textContent();
    await cover.click();
    await eventually(async () => new URL(page.url()).searchParams.get('cover')).toBe(id);
    await page.close();
  });

  it.each([
    [1440, 900],
    [1024, 768],
    [390, 844],
  ])('has no fault that axe-core finds at %d x %d', async (width, height) => {
    const { page, faults } = await open('?page=takeoff&by=crew', width, height);
    expect(await violationsOf(page)).toEqual([]);
    expect(await page.evaluate(() => document.documentElement.scrollWidth - innerWidth)).toBeLessThanOrEqual(
      0,
    );
    expect(faults).toEqual([]);
    await page.close();
  });
});
