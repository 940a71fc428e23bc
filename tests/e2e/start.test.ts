import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { makeTown } from '../../server/demo/town.ts';
import { demoSeed, registerCsv, shotsCsv } from '../../server/demo/write.ts';
import {
  browserPath,
  eventually,
  openPage,
  type RunningServer,
  startBrowser,
  startServer,
  violationsOf,
} from './running.ts';

const town = makeTown(demoSeed);

/** Castings of one street with ids of their own, so that none is in the register yet. */
function registerOfTheStreet(): string {
  const [heading, ...lines] = registerCsv(town).trimEnd().split('\n');
  const ofStreet = lines.filter((line) => line.split(',')[3] === 'Gantry Avenue').slice(0, 12);
  return [heading, ...ofStreet.map((line) => `A-${line}`), ''].join('\n');
}

const answer = (page: Page, title: string, choice: RegExp) =>
  page.getByRole('region', { name: title }).getByRole('radio', { name: choice }).check();

const foot = (page: Page) => page.locator('.foot-bar').textContent();
const next = (page: Page) => page.locator('.next-step').textContent();

describe.skipIf(browserPath === null)('a project from nothing', { timeout: 120_000 }, () => {
  let server: RunningServer;
  let browser: Browser;
  beforeAll(async () => {
    [server, browser] = await Promise.all([startServer(), startBrowser()]);
  }, 120_000);
  afterAll(async () => {
    await browser?.close();
    await server?.stop();
  }, 60_000);

  const fileOf = (name: string, content: string) => {
    const path = join(server.files, name);
    writeFileSync(path, content);
    return path;
  };
  const put = async (page: Page, name: string, content: string, answers: [string, RegExp][]) => {
    await page.setInputFiles('#files', fileOf(name, content));
    for (const [title, choice] of answers) await answer(page, title, choice);
    await page.getByRole('button', { name: /^Store \d/ }).click();
    await eventually(() => foot(page)).toContain('Stored:');
    await page.getByRole('button', { name: 'All imports' }).click();
  };

  it('is named, gets its grid by words, then register, survey and rings, and its first plan', async () => {
    const { page, faults } = await openPage(browser, 1440, 900);
    await page.goto(server.address);
    await page.getByRole('button', { name: 'New project' }).click();
    await page.getByRole('button', { name: 'Make the project' }).click();
    await eventually(() => page.locator('.fault').textContent()).toContain('Still missing: a name, the grid');
    await page.getByLabel('Name', { exact: true }).fill('Gantry Avenue, second night');
    await page.getByLabel('EPSG code, or words').fill('north carolina ftus nad83');
    await page.getByRole('radio', { name: /EPSG:2264.*US survey foot/ }).check();
    expect(await page.getByRole('radio', { name: 'US survey feet' }).isChecked()).toBe(true);
    await page.getByRole('radio', { name: 'inches' }).check();
    await page.getByRole('button', { name: 'Make the project' }).click();
    await eventually(() => page.locator('.lead').textContent()).toContain('Gantry Avenue, second night');
    await eventually(() => next(page)).toMatch(/^First the register/);

    await put(page, 'register.csv', registerOfTheStreet(), [
      ['Which grid are the positions in?', /project/],
      ['Which unit are the elevations in?', /US survey feet/],
    ]);
    await eventually(() => next(page)).toMatch(/^Next a survey/);
    await put(page, 'shots.csv', shotsCsv(town.shots), [
      ['Which grid are the positions in?', /project/],
      ['Which unit are the elevations in?', /US survey feet/],
      ['Which surface is it?', /finished/],
    ]);
    await eventually(() => next(page)).toMatch(/^Next the rings/);

    await page.getByRole('button', { name: 'Name the rings' }).click();
    await page.getByRole('button', { name: 'See or change a copy' }).first().click();
    await page.getByLabel('Name', { exact: true }).fill('Rings of the second night');
    await page.getByLabel('Thin side, in, row 1').fill('a lot');
    await page.getByRole('button', { name: 'Store the catalogue' }).click();
    await eventually(() => page.locator('.fault').textContent()).toMatch(/thin "a lot"/);
    await page.getByLabel('Thin side, in, row 1').fill('1/2');
    const downloading = page.waitForEvent('download');
    await page.getByRole('button', { name: 'Save as a file' }).click();
    const saved = readFileSync(await (await downloading).path(), 'utf8');
    expect(JSON.parse(saved).rings[0]).toMatchObject({ id: 'FL-050', thin: 0.5, thick: 0.5 });
    await page.getByRole('button', { name: 'Store the catalogue' }).click();
    const list = page.getByRole('radio', { name: /Rings of the second night/ });
    await eventually(() => list.isChecked()).toBe(true);

    await eventually(() => next(page)).toMatch(/^All is here/);
    await page.locator('.next-step').getByRole('button', { name: 'Plan' }).click();
    await eventually(() => page.locator('.announcement').textContent()).toBe('All 12 covers planned.');
    await eventually(() => page.locator('.next-step').count()).toBe(0);
    await page.getByRole('button', { name: 'Map', exact: true }).click();
    await eventually(() => page.locator('tbody .cover-link').count()).toBe(12);
    await page.locator('tbody .cover-link').first().click();
    await eventually(() => page.getByRole('region', { name: 'Figures' }).textContent()).toMatch(
      /Comes fromthe survey of the finished surface: shots, finished surface/,
    );
    expect(faults).toEqual([]);
    await page.close();
  });

  it('tells stage by stage what the pavement is over a cover, and that a survey is not counted', async () => {
    const agencies = `${server.address}/api/agencies`;
    const get = async (address: string) => (await (await fetch(address)).json()).items;
    const projects = `${agencies}/${(await get(agencies))[0].id}/projects`;
    const demo = (await get(projects)).find(({ coverCount }: { coverCount: number }) => coverCount > 100);
    const [surface] = await get(`${projects}/${demo.id}/surfaces`);
    const change = (path: string, body: unknown) =>
      fetch(`${projects}/${demo.id}${path}`, {
        method: 'PATCH',
        headers: { 'content-type': 'application/json', 'if-match': '*' },
        body: JSON.stringify(body),
      });
    const treatment = { millDepthM: 0.0381, millClearanceM: 0, maxRiserM: 0, liftsM: [0.0381, 0.0508] };
    expect((await change(`/surfaces/${surface.id}`, { stage: 'existing' })).status).toBe(200);
    expect((await change('', { policy: { shotSigmaM: 0 }, treatment })).status).toBe(200);

    const { page, faults } = await openPage(browser, 1440, 900);
    await page.goto(`${server.address}/?project=${demo.id}&cover=SS-0187`);
    await page.locator('.stale-note').getByRole('button', { name: 'Plan again' }).click();
    const stages = page.getByRole('region', { name: 'Stages of the work' });
    await eventually(() => stages.getByRole('listitem').allTextContents()).toEqual([
      expect.stringMatching(/^lift 2 .*2\.00 in higher/),
      expect.stringMatching(/^lift 1 .*1\.50 in higher/),
      expect.stringMatching(/^milled surface .*1\.50 in lower/),
      expect.stringMatching(/^existing pavement \d/),
    ]);
    const figures = await page.getByRole('region', { name: 'Figures' }).textContent();
    expect(figures).toMatch(/Comes froman earlier surface and what is milled and laid on it/);
    expect(figures).toMatch(/Allowance for the surveynot counted; [\d.]+ in of the tolerance is left/);
    expect(figures).toContain('how sure it is was not asked for');
    expect(faults).toEqual([]);
    await page.close();
  });

  it('takes a catalogue from a file, and says all that is wrong with another', async () => {
    const { page } = await openPage(browser, 1024, 768);
    await page.goto(`${server.address}/?page=rings`);
    await page.setInputFiles('#catalogue-file', fileOf('bad.json', '{"unit":"in","rings":[]}'));
    await eventually(() => page.locator('.fault').textContent()).toMatch(/rings.*must be a list/);
    const ring = { id: 'F2', thin: 50, thick: 50, outerDiameter: 860, maxPerStack: 2, cost: null };
    const good = {
      unit: 'mm',
      indexPositions: 0,
      maxRings: 3,
      maxChimney: 300,
      joint: { base: 3, between: 3, top: 3 },
      rings: [ring],
    };
    await page.setInputFiles('#catalogue-file', fileOf('yard.json', JSON.stringify(good)));
    await eventually(() => page.getByLabel('Name', { exact: true }).inputValue()).toBe('yard');
    expect(await page.getByLabel('Thick side, mm, row 1').inputValue()).toBe('50');
    await page.getByRole('button', { name: 'Leave it' }).click();
    await page.close();
  });

  it.each([
    ['new', 1440, 900],
    ['new', 1024, 768],
    ['new', 390, 844],
    ['rings', 1440, 900],
    ['rings', 390, 844],
    ['surveys', 390, 844],
  ])('has no fault that axe-core finds on the page %s at %d x %d', async (name, width, height) => {
    const { page, faults } = await openPage(browser, width, height);
    await page.goto(`${server.address}/?page=${name}`);
    if (name === 'rings') await page.getByRole('button', { name: 'See or change a copy' }).first().click();
    if (name === 'new') {
      await page.getByLabel('EPSG code, or words').fill('utm 17n');
      await page.locator('.crs-found').first().waitFor();
    }
    await page.locator('h1').first().waitFor();
    expect(await violationsOf(page)).toEqual([]);
    const wide = await page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
    expect(wide).toBeLessThanOrEqual(0);
    expect(faults).toEqual([]);
    await page.close();
  });
});
