import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { makeTown } from '../../server/demo/town.ts';
import { demoSeed, registerCsv, shotsCsv } from '../../server/demo/write.ts';
import {
  browserPath,
  openPage,
  type RunningServer,
  startBrowser,
  startServer,
  waitForCovers,
} from './running.ts';

/** The demo's own register with one casting new, one changed and one faulty. */
function makeRegister(): string {
  const [heading, ...lines] = registerCsv(makeTown(demoSeed)).trimEnd().split('\n').slice(0, 31);
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

/** Forty shots of the demo's survey; one has no northing. */
function makeShotFile(): string {
  const lines = shotsCsv(makeTown(demoSeed).shots).split('\n').slice(0, 41);
  const cells = lines[7].split(',');
  cells[1] = '';
  lines[7] = cells.join(',');
  return `${lines.join('\n')}\n`;
}

const countsOf = async (page: Page, panel: string) => {
  const figures = page.getByRole('region', { name: panel, exact: true }).locator('.figures-row');
  await figures.waitFor();
  return (await figures.locator('> div').allTextContents()).map((text) => text.trim());
};

describe.skipIf(browserPath === null)('bringing in files', { timeout: 90_000 }, () => {
  let server: RunningServer;
  let browser: Browser;
  beforeAll(async () => {
    [server, browser] = await Promise.all([startServer(), startBrowser()]);
  }, 120_000);
  afterAll(async () => {
    await browser?.close();
    await server?.stop();
  }, 60_000);

  it('shows what both files hold, stores nothing until asked, then plans again', async () => {
    const { page, faults } = await openPage(browser, 1440, 900);
    await page.goto(`${server.address}/?page=surveys`);
    const foot = page.locator('.foot-bar');
    await expect.poll(() => foot.textContent()).toContain('Nothing is stored yet.');
    const [register, shots] = [join(server.files, 'register.csv'), join(server.files, 'shots.csv')];
    writeFileSync(register, makeRegister());
    writeFileSync(shots, makeShotFile());

    await page.setInputFiles('#file-structures', register);
    expect(await countsOf(page, 'Register of castings')).toEqual([
      '1new',
      '28same as before',
      '1would change',
      '1have a problem',
    ]);
    const refused = page.getByRole('region', { name: 'Register of castings' }).locator('.refused tbody tr');
    expect(await refused.locator('td').allTextContents()).toEqual([
      '11',
      'seat_elevation',
      'abc',
      expect.stringMatching(/number/),
    ]);

    await page.setInputFiles('#file-shots', shots);
    expect(await countsOf(page, 'Shots')).toEqual([
      '39new',
      '0same as before',
      '0would change',
      '1have a problem',
    ]);
    expect(await foot.textContent()).toContain('Nothing is stored yet.');

    const downloading = page.waitForEvent('download');
    await page
      .getByRole('region', { name: 'Register of castings' })
      .getByRole('button', { name: 'Download these rows' })
      .click();
    const left = readFileSync(await (await downloading).path(), 'utf8')
      .trimEnd()
      .split('\r\n');
    expect(left).toHaveLength(2);
    expect(left[0]).toMatch(/^id,.*,reason$/);
    expect(left[1]).toMatch(/,abc,.*number/);

    await page.getByRole('button', { name: 'Store 2 castings and 39 shots' }).click();
    await expect.poll(() => foot.textContent()).toContain('Stored: 2 castings and 39 shots.');
    await expect.poll(() => page.locator('.stored-before tbody tr').count()).toBeGreaterThanOrEqual(2);

    await foot.getByRole('button', { name: 'Plan again' }).click();
    await expect
      .poll(() => page.locator('.announcement').textContent(), { timeout: 20_000 })
      .toBe('Planned.');
    await page.getByRole('button', { name: 'To the map' }).click();
    await waitForCovers(page);
    await page.keyboard.press('/');
    await page.keyboard.type('NEW-0001');
    await expect.poll(() => page.locator('tbody .cover-link').allTextContents()).toEqual(['NEW-0001']);
    expect(await page.locator('.stale-strip').count()).toBe(0);
    expect(faults).toEqual([]);
    await page.close();
  });

  it('says what is wrong with a file that cannot be read, and keeps the page as it was', async () => {
    const { page } = await openPage(browser, 390, 844);
    await page.goto(`${server.address}/?page=surveys`);
    await page.locator('#file-structures').waitFor({ state: 'attached' });
    const file = {
      name: 'notes.csv',
      mimeType: 'text/csv',
      buffer: Buffer.from('just some words\nand more\n'),
    };
    await page.setInputFiles('#file-structures', file);
    const panel = page.getByRole('region', { name: 'Register of castings' });
    await panel.locator('.fault, .refused').first().waitFor();
    expect(await page.locator('.foot-bar').textContent()).toContain('Nothing is stored yet.');
    expect(await page.getByRole('button', { name: 'Store' }).isDisabled()).toBe(true);
    await page.close();
  });
});
