import type { Browser } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { inch } from '../web/field/card.ts';
import { factsOf, goTo, openHole, openStep, press, tapeAndSolve } from './hole-page/hand.ts';
import { type ServedPage, servePage } from './hole-page/serve.ts';
import { browserPath, openPage, startBrowser } from './running.ts';

describe.skipIf(browserPath === null)('at the hole', { timeout: 90_000 }, () => {
  let served: ServedPage;
  let browser: Browser;
  beforeAll(async () => {
    [served, browser] = await Promise.all([servePage(), startBrowser()]);
  }, 120_000);
  afterAll(async () => {
    await browser?.close();
    await served?.stop();
  }, 60_000);

  const open = () => openHole(browser, served.address);

  it('shows the cautions once before work on a cover, and again on one tap', async () => {
    const { page, faults } = await openPage(browser, 390, 844);
    await page.goto(served.address);
    expect(await page.getByRole('dialog').textContent()).toMatch(
      /permit, the local code and the competent person/,
    );
    for (const word of [
      'Open hole',
      'Confined space',
      'Lifting',
      'Traffic',
      'Silica',
      'Nobody over the plate',
    ])
      expect(await page.getByRole('dialog').textContent()).toContain(word);
    expect(await page.locator('.hole-tabs').count()).toBe(0);
    await page.getByRole('button', { name: 'Read, go to the cover' }).click();
    await page.reload();
    expect(await page.getByRole('dialog').count()).toBe(0);
    await page.getByRole('button', { name: 'Cautions' }).click();
    expect(await page.getByRole('dialog').isVisible()).toBe(true);
    expect(faults).toEqual([]);
    await page.close();
  });

  it('says of a ring that is heavy for one, and of none whose mass is not known', async () => {
    const { page } = await open();
    const heavy = page.locator('.slab-words .lift');
    expect(await heavy.allTextContents()).toEqual(['62 lb: two persons or a lifting device']);
    expect(await page.locator('.slab-words', { has: page.locator('.lift') }).textContent()).toMatch(
      /^Flat 3 in/,
    );
    expect(await page.locator('.slab-words').count()).toBeGreaterThan(1);
    await page.close();
  });

  it('names the tape that disagrees, and solves nothing until they agree', async () => {
    const { page } = await open();
    await goTo(page, 'Tapes');
    await page.getByLabel('Tape at 12 o’clock').focus();
    await press(
      page,
      '1',
      '2',
      '⅞',
      'Next',
      '1',
      '3',
      '⅛',
      'Next',
      '1',
      '2',
      '⅜',
      'Next',
      '1',
      '2',
      '⅞',
      'Done',
    );
    const said = page.locator('.agreement');
    await expect.poll(() => said.textContent()).toMatch(/^Tapes disagree by 3\/4\. Measure 6 again/);
    expect(await page.getByRole('button', { name: 'Solve with these tapes' }).isDisabled()).toBe(true);
    await page.getByLabel('Tape at 6 o’clock').fill('13 1/8');
    await expect.poll(() => said.textContent()).toMatch(/Tapes agree/);
    await page.close();
  });

  it('echoes tenths of a foot as inches', async () => {
    const { page } = await open();
    await goTo(page, 'Tapes');
    await page.getByText('Tenths of ft').click();
    await page.getByLabel('Tape at 12 o’clock').fill('0.65');
    await expect.poll(() => page.locator('.at-12 .echo').textContent()).toBe('0.65 ft = 7 13/16 in');
    await page.close();
  });

  it('says first that the stack changed, records the choice with both stacks, and takes it back', async () => {
    const { page, faults } = await open();
    await tapeAndSolve(page);
    const answer = page.locator('.answer');
    expect(await answer.locator('.verdict').textContent()).toMatch(/^The stack changes\./);
    expect(await answer.locator('h2').allTextContents()).toEqual(['Planned', 'By tapes']);
    await answer.getByRole('button', { name: 'Build this' }).click();
    const chosen = await factsOf(page, 'stackChosen');
    expect(chosen.because).toBe('tapes');
    expect(chosen.tapes?.asTyped).toEqual(['13 1/8 in', '13 1/4 in', '13 1/4 in', '13 1/8 in']);
    expect(chosen.tapes!.downM[0] / inch).toBeCloseTo(13.125, 9);
    expect(chosen.planStack).toHaveLength(3);
    expect(chosen.stack).not.toEqual(chosen.planStack);
    await goTo(page, 'Stack');
    expect(await page.locator('.which-plan').textContent()).toMatch(/^Chosen here by R\. Pell/);
    await goTo(page, 'Tapes');
    await page.getByRole('button', { name: /Undo: back to the plan/ }).click();
    await page.getByText('Wrong figure').click();
    await page.getByRole('button', { name: 'Take it back' }).click();
    expect((await factsOf(page, 'withdrawn')).reason).toBe('Wrong figure');
    await goTo(page, 'Stack');
    expect(await page.locator('.which-plan').textContent()).toMatch(/^Plan 1/);
    expect(faults).toEqual([]);
    await page.close();
  });

  it('solves with what is on the truck alone, and takes off it what goes in', async () => {
    const { page } = await open();
    await goTo(page, 'Tapes');
    await page.getByRole('button', { name: /On the truck/ }).click();
    for (let count = 0; count < 4; count++)
      await page.getByRole('button', { name: 'Flat 3 in: more' }).click();
    await page.getByRole('button', { name: /On the truck/ }).click();
    await tapeAndSolve(page);
    await page.getByRole('button', { name: /^Build this/ }).click();
    const { stack, truck } = await factsOf(page, 'stackChosen');
    expect(stack.map(({ ring }) => ring)).toEqual(['F3', 'F3']);
    expect(truck).toContainEqual({ ring: 'F3', count: 4 });
    await goTo(page, 'Stack');
    await page.locator('.slab-tap').last().click();
    await page.locator('.slab-tap').first().click();
    await page.getByRole('button', { name: 'Record 2 rings in place' }).click();
    expect((await factsOf(page, 'ringsUsed')).asChosen).toBe(true);
    await goTo(page, 'Tapes');
    expect(await page.getByRole('button', { name: /On the truck/ }).textContent()).toContain(
      '2 rings counted',
    );
    await page.close();
  });

  it('asks once about a wrong order, and says what another ring does to the rim before it is recorded', async () => {
    const { page } = await open();
    await page.locator('.slab-tap').first().click();
    expect(await page.getByRole('alertdialog').textContent()).toMatch(/Ring 1 is not in yet/);
    await page.getByRole('button', { name: 'Yes, as built' }).click();
    expect(await page.getByRole('alertdialog').count()).toBe(0);
    await page.getByRole('button', { name: 'Other ring used as ring 2' }).click();
    await page.getByRole('button', { name: 'Flat 1 in' }).click();
    await page.getByRole('button', { name: 'This one is in' }).click();
    await page.locator('.slab-tap').last().click();
    expect(await page.locator('.record-rings').textContent()).toMatch(/With these the rim ends .* low/);
    const record = page.getByRole('button', { name: 'Record 3 rings in place' });
    expect(await record.isDisabled()).toBe(true);
    await page.getByText('Not on the truck').click();
    await record.click();
    const used = await factsOf(page, 'ringsUsed');
    expect(used).toMatchObject({ asChosen: false, reason: 'Not on the truck' });
    expect(used.stack.map(({ ring }) => ring)).toEqual(['F3', 'F1', 'T']);
    await page.close();
  });

  it('keeps a plate in view until it is reopened', async () => {
    const { page } = await open();
    await goTo(page, 'Steps');
    await openStep(page, 'Lower and plate');
    await page.getByLabel('Plate number').fill('P-14');
    await page.getByLabel('Tie 1, to').fill('Hydrant');
    await page.getByLabel('Tie 1, feet').fill('18');
    await page.getByLabel('Tie 1, inches').fill('4');
    await page.getByRole('button', { name: 'Record: lowered and plated' }).click();
    const { ties } = await factsOf(page, 'plated');
    expect(ties[0].to).toBe('Hydrant');
    expect(ties[0].distanceM / inch).toBeCloseTo(220, 6);
    const line = page.locator('.plate-line');
    await goTo(page, 'Stack');
    expect(await line.textContent()).toContain('Must be reopened');
    expect(await line.evaluate((one) => getComputedStyle(one).backgroundColor)).toBe('rgb(138, 43, 0)');
    await page.reload();
    expect(await line.isVisible()).toBe(true);
    await goTo(page, 'Steps');
    await openStep(page, 'Lower and plate');
    await page.getByRole('button', { name: 'Record: plate P-14 is off' }).click();
    expect(await line.count()).toBe(0);
    await page.close();
  });
});
