import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { makeTown } from '../../server/demo/town.ts';
import { demoSeed, registerCsv, shotsCsv } from '../../server/demo/write.ts';
import { dbfBytes, shape, shpBytes, zipBytes } from '../helpers/gisFiles.ts';
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

const town = makeTown(demoSeed);

/** The demo's own register with one casting new, one changed and one faulty. */
function makeRegister(): string {
  const [heading, ...lines] = registerCsv(town).trimEnd().split('\n').slice(0, 31);
  const columns = heading.split(',');
  const put = (line: string, column: string, value: string) =>
    line
      .split(',')
      .map((cell, at) => (columns[at] === column ? value : cell))
      .join(',');
  lines[4] = put(lines[4], 'frame_height_in', '9.5');
  lines[9] = put(lines[9], 'seat_elevation', 'abc');
  lines.push(put(lines[0], 'id', 'NEW-0001'));
  return [heading, ...lines, ''].join('\n');
}

/** Twenty rims and twenty other shots of the demo's survey; the seventh has no elevation. */
function makeShotFile(): string {
  const [heading, ...lines] = shotsCsv(town.shots).trimEnd().split('\n');
  const isRim = (line: string) => line.split(',')[4] === 'MH';
  const some = [...lines.filter(isRim).slice(0, 20), ...lines.filter((line) => !isRim(line)).slice(0, 20)];
  const cells = some[6].split(',');
  cells[3] = '';
  some[6] = cells.join(',');
  return [heading, ...some, ''].join('\n');
}

/** ESRI's own text for WGS 84, as its programs write it beside a shapefile; from memory. */
const wgs84 =
  'GEOGCS["GCS_WGS_1984",DATUM["D_WGS_1984",SPHEROID["WGS_1984",6378137.0,298.257223563]],PRIMEM["Greenwich",0.0],UNIT["Degree",0.0174532925199433]]';

function zippedShapefile(line: [number, number][]): Uint8Array {
  const { shp, shx } = shpBytes(3, [shape.parts(3, [line])]);
  const fields = [{ name: 'NAME', type: 'C', length: 20 }];
  const dbf = dbfBytes({ fields, rows: [['Gutter']] });
  const files = { shp, shx, dbf, prj: Buffer.from(wgs84) };
  return zipBytes(
    Object.entries(files).map(([ending, bytes]) => ({ path: `lines/gutter.${ending}`, bytes })),
  );
}

/** Centre line of a street of the demo town, lon/lat. */
async function firstStreet(address: string): Promise<[number, number][]> {
  const get = async (path: string) => (await fetch(`${address}/api/agencies${path}`)).json();
  const [agency] = (await get('')).items;
  const { features } = await get(`/${agency.id}/streets`);
  return features[0].geometry.coordinates;
}

/** Reading a file takes the server its time, on a busy machine more. */

const figuresOf = async (page: Page) => {
  const figures = page.locator('.figures-row');
  await figures.waitFor();
  return (await figures.locator('> div').allTextContents()).map((text) => text.trim());
};

/** Answers a question and goes on at once, as people do. */
const answer = (page: Page, title: string, choice: RegExp) =>
  page.getByRole('region', { name: title }).getByRole('radio', { name: choice }).check();

const foot = (page: Page) => page.locator('.foot-bar').textContent();

describe.skipIf(browserPath === null)('bringing in files', { timeout: 120_000 }, () => {
  let server: RunningServer;
  let browser: Browser;
  beforeAll(async () => {
    [server, browser] = await Promise.all([startServer(), startBrowser()]);
  }, 120_000);
  afterAll(async () => {
    await browser?.close();
    await server?.stop();
  }, 60_000);

  const fileOf = (name: string, content: string | Uint8Array) => {
    const path = join(server.files, name);
    writeFileSync(path, content);
    return path;
  };
  const openSurveys = async (width = 1440, height = 900) => {
    const opened = await openPage(browser, width, height);
    await opened.page.goto(`${server.address}/?page=surveys`);
    await eventually(() => foot(opened.page)).toContain('Nothing is stored yet.');
    return opened;
  };

  it('shows a register with its questions, stores it when they are answered, plans again, and takes it back', async () => {
    const { page, faults } = await openSurveys();
    await page.setInputFiles('#files', fileOf('register.csv', makeRegister()));
    expect(await figuresOf(page)).toEqual(['1new', '28same as before', '1would change', '1is left out']);
    const refused = page.locator('.problem-rows tbody tr');
    expect(await refused.first().locator('td').allTextContents()).toEqual([
      '11',
      'seat_elevation',
      'abc',
      expect.stringMatching(/number/),
      'Left out',
    ]);
    expect(await foot(page)).toMatch(/Nothing is stored yet\. \w+ questions left/);
    expect(await page.getByRole('button', { name: /^Store 2 castings/ }).isDisabled()).toBe(true);

    const downloading = page.waitForEvent('download');
    await page.getByRole('link', { name: 'Download the row left out' }).click();
    const left = readFileSync(await (await downloading).path(), 'utf8')
      .replace(/^\uFEFF/, '')
      .trimEnd()
      .split(/\r?\n/);
    expect(left).toHaveLength(2);
    expect(left[0]).toMatch(/^id,/);
    expect(left[1]).toMatch(/,abc,.*number/);

    await answer(page, 'Which grid are the positions in?', /project/);
    await answer(page, 'Which unit are the elevations in?', /US survey feet/);
    await eventually(() => foot(page)).toContain('Nothing is stored yet. Storing can be undone.');
    await page.getByRole('button', { name: 'Store 2 castings' }).click();
    await eventually(() => foot(page)).toContain('Stored: 2 castings.');

    await page.locator('.foot-bar').getByRole('button', { name: 'Plan again' }).click();
    await eventually(() => page.locator('.announcement').textContent()).toMatch(/covers planned/);
    await page.getByRole('button', { name: 'To the map' }).click();
    await waitForCovers(page);
    await page.keyboard.press('/');
    await page.keyboard.type('NEW-0001');
    await eventually(() => page.locator('tbody .cover-link').allTextContents()).toEqual(['NEW-0001']);
    await page.keyboard.press('Escape');

    await page.getByRole('button', { name: 'Surveys' }).click();
    const row = page.locator('.stored-before tbody tr', { hasText: 'register.csv' });
    await row.getByRole('button', { name: /^Undo/ }).click();
    await eventually(() => page.locator('.undo-note').textContent()).toMatch(
      /register\.csv is undone\. 1 row removed, 1 row with earlier values again\./,
    );
    await eventually(() => row.textContent()).toContain('undone');
    expect(faults).toEqual([]);
    await page.close();
  });

  it('draws the two feet over the castings, so that the right one can be seen', async () => {
    const { page, faults } = await openSurveys();
    await page.setInputFiles('#files', fileOf('night-three.csv', makeShotFile()));
    const question = page.getByRole('region', { name: 'Which unit are the positions in?' });
    await eventually(() => question.textContent()).toMatch(
      /US survey feet rims land on the register’s castings/,
    );
    expect(await question.textContent()).toMatch(/International feet rims land 3\.\d ft from/);
    expect(await question.textContent()).toMatch(/Metres lands [\d,]+ miles/);
    expect(await question.getByRole('radio', { checked: true }).count()).toBe(0);
    expect(await violationsOf(page)).toEqual([]);

    await answer(page, 'Which grid are the positions in?', /project/);
    await answer(page, 'Which unit are the elevations in?', /US survey feet/);
    await answer(page, 'Which surface is it?', /finished/);
    expect(await figuresOf(page)).toEqual(['39new', '0same as before', '0would change', '1is left out']);
    await page.reload();
    await page.getByRole('button', { name: 'Store 39 shots' }).click();
    await eventually(() => foot(page)).toContain('Stored: 39 shots.');
    await page.getByRole('button', { name: 'All imports' }).click();
    const surfaces = page.getByRole('region', { name: 'Surfaces' });
    await eventually(() => surfaces.textContent()).toMatch(/night-three/);

    await page.setInputFiles('#files', join(server.files, 'night-three.csv'));
    await answer(page, 'Which grid are the positions in?', /project/);
    await answer(page, 'Which unit are the elevations in?', /US survey feet/);
    expect((await figuresOf(page)).slice(0, 3)).toEqual(['0new', '39same as before', '0would change']);
    await eventually(() => foot(page)).toContain('storing would change nothing');

    await page.getByRole('button', { name: 'Discard file' }).click();
    await eventually(() => foot(page)).toContain('Discarded: nothing of this file is stored.');
    expect(faults).toEqual([]);
    await page.close();
  });

  it('names the rows that changed since when an import is taken back, and leaves them', async () => {
    const { page } = await openSurveys();
    const [heading, ...lines] = makeRegister().split('\n');
    await page.setInputFiles(
      '#files',
      fileOf('two-changes.csv', [heading, lines[4], lines[30], ''].join('\n')),
    );
    await answer(page, 'Which grid are the positions in?', /project/);
    await answer(page, 'Which unit are the elevations in?', /US survey feet/);
    await page.getByRole('button', { name: /^Store 2 castings/ }).click();
    await eventually(() => foot(page)).toContain('Stored: 2 castings.');
    const [agency] = (await (await fetch(`${server.address}/api/agencies`)).json()).items;
    const id = lines[4].split(',')[0];
    const changed = await fetch(`${server.address}/api/agencies/${agency.id}/structures/${id}`, {
      method: 'PATCH',
      headers: { 'content-type': 'application/json', 'if-match': '*' },
      body: JSON.stringify({ setDownM: 0.01 }),
    });
    expect(changed.status).toBe(200);
    await page.locator('.foot-bar').getByRole('button', { name: /^Undo/ }).click();
    await eventually(() => page.locator('.undo-note').textContent()).toContain(id);
    await page.getByRole('button', { name: 'Undo the rest, leave these' }).click();
    await eventually(() => page.locator('.undo-note').textContent()).toMatch(
      /is undone\. 1 row removed, 1 row left as they are, changed since\./,
    );
    await eventually(() => foot(page)).toContain('Undone');
    await page.close();
  });

  it('brings in several files at once, each an import of its own', async () => {
    const { page, faults } = await openSurveys();
    const files = [fileOf('one.csv', makeShotFile()), fileOf('two.csv', makeRegister())];
    await page.setInputFiles('#files', files);
    const inHand = page.getByRole('region', { name: 'Not stored yet' }).getByRole('listitem');
    for (const [name, words] of [
      ['one.csv', /39 new/],
      ['two.csv', /1 refused/],
    ] as const) {
      const item = inHand.filter({ hasText: name });
      await eventually(() => item.textContent()).toMatch(words);
      await item.getByRole('button', { name: `Discard ${name}` }).click();
      await eventually(() => item.count()).toBe(0);
    }
    expect(faults).toEqual([]);
    await page.close();
  });

  it('can be answered with the keyboard alone', async () => {
    const { page } = await openSurveys();
    await page.setInputFiles('#files', fileOf('keys.csv', makeShotFile()));
    await page.getByRole('radio', { name: /The project's system/ }).focus();
    await page.keyboard.press('Space');
    const elevations = page.getByRole('region', { name: 'Which unit are the elevations in?' });
    await eventually(() => page.evaluate(() => document.activeElement?.getAttribute('name'))).toBe(
      'verticalUnit',
    );
    expect(await elevations.getByRole('radio', { checked: true }).count()).toBe(0);
    // Two steps of the arrow keys: only the choice that they rest on is said.
    await page.keyboard.press('ArrowDown');
    await page.keyboard.press('ArrowUp');
    await eventually(() => elevations.count()).toBe(0);
    expect(await page.locator('.said').textContent()).toContain('US survey feet');
    await page.getByRole('button', { name: 'Discard file' }).click();
    await page.close();
  });

  it('goes on with an upload after the connection was lost and after the page was loaded again', async () => {
    const { page } = await openSurveys();
    const header = 'point,northing,easting,elevation,code\n';
    const rows = Array.from(
      { length: 150_000 },
      (_, i) => `${i},${743000 + i / 500},${1652000 + i / 700},700.5,GS\n`,
    );
    const content = header + rows.join('');
    let passing = 1;
    await page.route('**/files/1', async (route) => {
      if (route.request().method() !== 'PATCH' || passing-- > 0) return route.continue();
      return route.abort('connectionfailed');
    });
    await page.setInputFiles('#files', fileOf('long.csv', content));
    await eventually(() => page.locator('.sending').textContent()).toContain('The connection is lost');
    expect(await foot(page)).toContain('Nothing is stored yet.');
    await page.unroute('**/files/1');
    await page.reload();
    await eventually(() => page.locator('h1 + p').textContent()).toContain('150,000 shots');
    await page.getByRole('button', { name: 'Discard file' }).click();
    await page.close();
  });

  it('reads lines of GeoJSON and of a zipped shapefile, and asks what they are', async () => {
    const { page, faults } = await openSurveys();
    const line = await firstStreet(server.address);
    const collection = {
      type: 'FeatureCollection',
      features: [
        {
          type: 'Feature',
          properties: { name: 'Centre' },
          geometry: { type: 'LineString', coordinates: line },
        },
      ],
    };
    await page.setInputFiles('#files', fileOf('centre.geojson', JSON.stringify(collection)));
    await eventually(() => page.locator('h1 + p').textContent()).toMatch(/A GeoJSON file of 1 line/);
    const question = page.locator('.question', { hasText: 'What are the lines' });
    await question.getByRole('radio', { name: /^Centre lines/ }).check();
    await page.getByRole('button', { name: 'Store 1 line' }).click();
    await eventually(() => foot(page)).toContain('Stored: 1 line.');
    await page.getByRole('button', { name: 'All imports' }).click();
    await eventually(() => page.locator('.laid-lines').first().textContent()).toContain('Centre');
    expect(await page.locator('.laid-map svg').count()).toBe(1);
    expect(await violationsOf(page)).toEqual([]);

    await page.setInputFiles('#files', fileOf('gutter.zip', zippedShapefile(line)));
    await eventually(() => page.locator('h1 + p').textContent()).toMatch(/A shapefile of 1 line/);
    expect(await page.locator('.columns').textContent()).toContain('Positions in EPSG:4326');
    expect(faults).toEqual([]);
    await page.close();
  });

  it('says what is wrong with a file that cannot be read, and keeps the page as it was', async () => {
    const { page } = await openSurveys(390, 844);
    await page.setInputFiles('#files', fileOf('notes.csv', 'just some words\nand more\n'));
    await page.locator('.fault').first().waitFor();
    expect(await foot(page)).toContain('Nothing is stored yet.');
    expect(await page.getByRole('button', { name: 'Store' }).isDisabled()).toBe(true);
    expect(await violationsOf(page)).toEqual([]);
    await page.close();
  });

  it.each([
    [1440, 900],
    [1024, 768],
    [390, 844],
  ])(
    'has no fault that axe-core finds in a preview at %d x %d, and scrolls only where it should',
    async (width, height) => {
      const { page, faults } = await openSurveys(width, height);
      await page.setInputFiles('#files', fileOf('register.csv', makeRegister()));
      await page.locator('.question').first().waitFor();
      expect(await violationsOf(page)).toEqual([]);
      const wide = await page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
      expect(wide).toBeLessThanOrEqual(0);
      await page.locator('.question input').first().focus();
      await page.keyboard.press('Space');
      expect(faults).toEqual([]);
      await page.close();
    },
  );
});
