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
  waitForCovers,
} from './running.ts';

type StreetMap = import('maplibre-gl').Map;

/** Ids that a layer of a map draws. */
const drawnIds = (page: Page, layer: string, name: 'rimplaneMap' | 'rimplaneOverlayMap' = 'rimplaneMap') =>
  page.evaluate(
    ([layer, name]) => {
      const map = (window as unknown as Record<string, StreetMap | undefined>)[name];
      if (!map?.getLayer(layer) || !map.areTilesLoaded()) return [];
      const found = map.queryRenderedFeatures({ layers: [layer] });
      return [...new Set(found.map(({ properties }) => String(properties.id)))].sort();
    },
    [layer, name] as const,
  );

const shownCount = async (page: Page) =>
  Number(/^(\d+) of/.exec((await page.locator('.search [role=status]').textContent())!)?.[1]);

describe.skipIf(browserPath === null)('what a large project asks of the desk', { timeout: 120_000 }, () => {
  let server: RunningServer;
  let browser: Browser;
  let projects: string;
  let project: string;
  beforeAll(async () => {
    [server, browser] = await Promise.all([startServer(), startBrowser()]);
    const [agency] = (await (await fetch(`${server.address}/api/agencies`)).json()).items;
    projects = `${server.address}/api/agencies/${agency.id}/projects`;
    project = `${projects}/${(await (await fetch(projects)).json()).items[0].id}`;
  }, 120_000);
  afterAll(async () => {
    await browser?.close();
    await server?.stop();
  }, 60_000);

  const open = async (query = '', width = 1440, height = 900) => {
    const watched = await openPage(browser, width, height);
    await watched.page.goto(server.address + query);
    return watched;
  };
  const post = (url: string, body: object) =>
    fetch(url, {
      method: 'POST',
      headers: { 'content-type': 'application/json' },
      body: JSON.stringify(body),
    });

  it('leads by keys from a bar of a plot to its covers on table and map, and back', async () => {
    const { page, faults } = await open('?page=plots');
    const bars = page.getByRole('region', { name: 'Net buildup', exact: true }).locator('.bar-stop');
    await bars.first().focus();
    await page.keyboard.press('ArrowRight');
    const words = (await page.evaluate(() => document.activeElement?.getAttribute('aria-label')))!;
    const count = Number(/^\d+/.exec(words)![0]);
    expect(await page.locator('.bar-stop[tabindex="0"]').count()).toBe(2);
    await page.keyboard.press('Enter');
    await page.locator('.chip', { hasText: 'Net buildup' }).waitFor();
    await eventually(() => shownCount(page)).toBe(count);
    expect(new URL(page.url()).searchParams.get('buildup')).toMatch(/^-?[\d.]+\.\.-?[\d.]+$/);
    const listed = (await page.locator('tbody .cover-link').allTextContents()).sort();
    expect(listed).toHaveLength(count);
    await waitForCovers(page);
    await eventually(() => drawnIds(page, 'covers')).toEqual(listed);
    expect(await violationsOf(page)).toEqual([]);
    await page.locator('.chip', { hasText: 'Net buildup' }).click();
    await eventually(async () => (await drawnIds(page, 'covers')).length).toBeGreaterThan(count);
    expect(new URL(page.url()).searchParams.get('buildup')).toBeNull();
    expect(faults).toEqual([]);
    await page.close();
  });

  it('narrows the map to a night whose covers the table does not hold', async () => {
    await post(`${project}/covers/assign`, {
      selection: { filter: { street: 'Gantry Avenue' } },
      night: '2027-05-04',
    });
    const { items } = await (await fetch(`${project}/covers?night=2027-05-04&limit=2000`)).json();
    const ids = items.map(({ id }: { id: string }) => id).sort();
    expect(ids.length).toBeGreaterThan(5);
    const { page, faults } = await openPage(browser, 1440, 900);
    // The demo has fewer covers than a page: the table holds a few of them only.
    await page.route(/covers\?sort=/, (route) =>
      route.continue({ url: route.request().url().replace('limit=500', 'limit=3') }),
    );
    await page.goto(`${server.address}/?night=2027-05-04`);
    await eventually(() => drawnIds(page, 'covers')).toEqual(ids);
    await eventually(async () => (await drawnIds(page, 'faded-covers')).length).toBeGreaterThan(ids.length);
    expect(faults).toEqual([]);
    await page.close();
  });

  it('goes to a street in the middle of the list by keys, with all before it above', async () => {
    const { page, faults } = await openPage(browser, 1440, 900);
    await page.route(/covers\?sort=/, (route) =>
      route.continue({ url: route.request().url().replace('limit=500', 'limit=40') }),
    );
    await page.goto(server.address);
    await page.locator('tbody .cover-link').first().waitFor();
    const { items } = await (await fetch(`${project}/covers?sort=street&limit=2000`)).json();
    const streets = [...new Set(items.map(({ street }: { street: string }) => street))] as string[];
    const street = streets[streets.length - 2];
    await page.keyboard.press('g');
    await page.keyboard.type(street.slice(0, 4).toLowerCase());
    await page.keyboard.press('Enter');
    const first = items.findIndex((row: { street: string }) => row.street?.startsWith(street.slice(0, 4)));
    const inView = () =>
      page.evaluate(() => {
        const box = document.querySelector('.table-scroll')!.getBoundingClientRect();
        const rows = [...document.querySelectorAll('tbody tr')];
        const seen = rows.find((row) => row.getBoundingClientRect().top >= box.top + 30);
        return seen?.querySelector('.cover-link')?.textContent ?? null;
      });
    // Rows are laid above it meanwhile, and it stays where it is.
    await eventually(() => page.locator('.table-scroll').evaluate((box) => box.scrollTop)).toBeGreaterThan(0);
    await eventually(inView).toBe(items[first].id);
    expect(new URL(page.url()).searchParams.get('from')).toBe(street.slice(0, 4).toLowerCase());
    await page.locator('.table-scroll').evaluate((box) => box.scrollBy(0, -36));
    await eventually(inView).toBe(items[first - 1].id);
    await page.keyboard.press('Escape');
    await page.keyboard.press('g');
    await page.locator('#go-to').fill('nowhere');
    await page.keyboard.press('Enter');
    await page.getByText('No street and no cover of this list begins with "nowhere".').waitFor();
    expect(await violationsOf(page)).toEqual([]);
    await page.getByRole('button', { name: 'To the top' }).click();
    await eventually(inView).toBe(items[0].id);
    expect(faults).toEqual([]);
    await page.close();
  });

  it('draws every answer about an overlay where the table holds a part of them', async () => {
    const { page, faults } = await openPage(browser, 1440, 900);
    await page.route(/overlay-outlook$/, async (route) => {
      const response = await route.fetch();
      const answered = await response.json();
      // The demo has some hundred covers: to the page they are the first of many more.
      const items = Array.from({ length: 10_000 }, (_, index) => ({
        ...answered.items[0],
        id: `X-${index}`,
      }));
      await route.fulfill({ response, json: { ...answered, total: 20_000, items, next: 'more' } });
    });
    await page.goto(`${server.address}/?page=overlay&lay=2%20in`);
    await page.getByText('The map shows all; the table holds the first 10,000').waitFor();
    const { items } = await (
      await post(`${projects.replace('/projects', '')}/overlay-outlook`, {
        thicknessM: 0.0508,
        project: project.split('/').pop(),
        limit: 5000,
      })
    ).json();
    const ids = items.map(({ id }: { id: string }) => id).sort();
    await eventually(() => drawnIds(page, 'all-answers', 'rimplaneOverlayMap')).toEqual(ids);
    expect(await drawnIds(page, 'answers', 'rimplaneOverlayMap')).toEqual([]);
    // One that is no row of the table says its answer all the same.
    const { x, y, id } = await page.evaluate(() => {
      const { rimplaneOverlayMap: map } = window as unknown as { rimplaneOverlayMap: StreetMap };
      const [{ geometry, properties }] = map.queryRenderedFeatures({ layers: ['all-answers'] });
      const at = map.project((geometry as GeoJSON.Point).coordinates as [number, number]);
      return { x: at.x, y: at.y, id: String(properties.id) };
    });
    await page.locator('.map canvas').click({ position: { x, y } });
    const said = page.locator('.chosen-answer');
    await eventually(() => said.textContent()).toMatch(/Not among the rows below/);
    const shown = (await said.locator('.cover-link').textContent())!;
    const text = items.find((row: { id: string }) => row.id === shown).text;
    await eventually(() => said.textContent()).toContain(text);
    expect(ids).toContain(id);
    expect(faults).toEqual([]);
    await page.close();
  });

  it('deletes a project after saying what goes with it, and says why one with records stays', async () => {
    const made = { id: 'spare', name: 'Spare', crs: 'EPSG:2264', elevationUnit: 'us-ft', displayUnit: 'in' };
    expect((await post(projects, made)).status).toBe(201);
    const { page, faults } = await open('?page=grade&project=spare');
    await page.getByRole('button', { name: 'Delete Spare…' }).click();
    await page.getByText('Delete Spare? It holds nothing else.').waitFor();
    expect(await page.evaluate(() => document.activeElement?.textContent)).toBe('Keep it');
    expect(await violationsOf(page)).toEqual([]);
    await page.getByRole('button', { name: 'Delete it for good' }).click();
    await page.locator('tbody .cover-link').first().waitFor();
    const { items } = await (await fetch(projects)).json();
    expect(items.map(({ id }: { id: string }) => id)).not.toContain('spare');
    expect(faults).toEqual([]);
    const [cover] = (await (await fetch(`${project}/covers?limit=1`)).json()).items;
    const sent = await post(`${project}/field-records`, {
      records: [
        {
          id: '5e0f37f4-7d4b-4a2e-b1f6-6f5ac1c60f11',
          structureId: cover.id,
          kind: 'note',
          facts: { text: 'lid frozen' },
          by: 'Ida Brook',
          device: '7b0d5a44-2d0c-4a53-9a3e-8f7f1f1f0a01',
          deviceTime: new Date().toISOString(),
          seen: 0,
        },
      ],
    });
    expect(sent.status).toBe(200);
    await page.getByRole('button', { name: 'Grade', exact: true }).click();
    await page.getByRole('button', { name: /^Delete .*…$/ }).click();
    await page.getByText(/cannot be deleted\. It has 1 record from the field\./).waitFor();
    expect(await page.getByRole('button', { name: 'Delete it for good' }).count()).toBe(0);
    await page.close();
  });

  it.each([
    [1024, 768],
    [390, 844],
  ])('has no fault that axe-core finds at %d x %d', async (width, height) => {
    const { page, faults } = await open('?buildup=0.1..0.2&from=we', width, height);
    await page.locator('tbody .cover-link').first().waitFor();
    expect(await violationsOf(page)).toEqual([]);
    expect(await page.evaluate(() => document.documentElement.scrollWidth - innerWidth)).toBeLessThanOrEqual(
      0,
    );
    expect(faults).toEqual([]);
    await page.close();
  });
});
