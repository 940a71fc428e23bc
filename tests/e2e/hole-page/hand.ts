import type { Browser, Page } from 'playwright-core';
import type { AnyMade, Facts, RecordKind } from '#core/field/facts.ts';
import { openPage } from '../running.ts';

/** What a foreman does on the hole's screens. */

/** Opens the page at a cover whose cautions have been read. */
export async function openHole(browser: Browser, address: string, [width, height] = [390, 844]) {
  const watched = await openPage(browser, width, height);
  await watched.page.goto(address);
  await watched.page.getByRole('button', { name: 'Read, go to the cover' }).click();
  return watched;
}

export const goTo = (page: Page, tab: string) => page.getByRole('button', { name: tab, exact: true }).click();

/** Keys of the pad, by what stands on them. */
export async function press(page: Page, ...words: string[]): Promise<void> {
  for (const word of words) await page.locator('.pad-key', { hasText: word }).first().click();
}

export async function tapeAndSolve(page: Page): Promise<void> {
  await goTo(page, 'Tapes');
  await page.getByLabel('Tape at 12 o’clock').focus();
  await press(
    page,
    '1',
    '3',
    '⅛',
    'Next',
    '1',
    '3',
    '¼',
    'Next',
    '1',
    '3',
    '¼',
    'Next',
    '1',
    '3',
    '⅛',
    'Done',
  );
  await page.getByRole('button', { name: 'Solve with these tapes' }).click();
}

export const openStep = (page: Page, word: string) => page.locator('.step-head', { hasText: word }).click();

/** Rim errors at 12, 3, 6 and 9: `1/8` proud, `−1/8` low. */
export async function typeRim(page: Page, texts: readonly string[]): Promise<void> {
  for (const [index, hour] of [12, 3, 6, 9].entries())
    await page.getByLabel(`Rim at ${hour} o’clock`).fill(texts[index]);
}

export const recordsOf = (page: Page): Promise<AnyMade[]> =>
  page.evaluate(() => (window as unknown as { holeRecords: AnyMade[] }).holeRecords);

/** Facts of the latest record of a kind. */
export async function factsOf<Kind extends RecordKind>(page: Page, kind: Kind): Promise<Facts[Kind]> {
  const found = (await recordsOf(page)).findLast((record) => record.kind === kind);
  if (!found) throw new Error(`nothing was recorded as ${kind}`);
  return found.facts as Facts[Kind];
}
