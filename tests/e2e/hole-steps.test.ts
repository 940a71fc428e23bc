import type { Browser } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { inch } from '../web/field/card.ts';
import { turnedPicture } from './hole-page/camera.ts';
import {
  factsOf,
  goTo,
  openHole,
  openStep,
  press,
  recordsOf,
  tapeAndSolve,
  typeRim,
} from './hole-page/hand.ts';
import { faintOrSmall } from './hole-page/measure.ts';
import { type ServedPage, servePage } from './hole-page/serve.ts';
import { browserPath, startBrowser, violationsOf } from './running.ts';

describe.skipIf(browserPath === null)('steps, test and pictures at the hole', { timeout: 90_000 }, () => {
  let served: ServedPage;
  let browser: Browser;
  beforeAll(async () => {
    [served, browser] = await Promise.all([servePage(), startBrowser()]);
  }, 120_000);
  afterAll(async () => {
    await browser?.close();
    await served?.stop();
  }, 60_000);
  const open = (query = '') => openHole(browser, served.address + query);

  it('records every step in its order with nothing on the wire', async () => {
    const { page, faults } = await open('?untested');
    await page.context().setOffline(true);
    await goTo(page, 'Steps');
    const save = (name: string | RegExp) => page.getByRole('button', { name }).click();
    await openStep(page, 'Find it');
    await page.getByText('Found', { exact: true }).click();
    await save('Record: found');
    await tapeAndSolve(page);
    await save('Build this');
    await goTo(page, 'Steps');
    await openStep(page, 'Paving stage');
    await page.getByText('Milled').click();
    await page.getByText('Left low').click();
    await save('Record this stage');
    await openStep(page, 'Mortar bed');
    await page.getByText('Seat not flat').click();
    await page.getByLabel('Bed, thickness').fill('1/2');
    await save('Record the mortar bed');
    await openStep(page, 'Trim a spigot');
    await page.getByText('Opening off centre').click();
    await page.getByText('Flat 3 in', { exact: true }).click();
    await save('Record the trimmed spigot');
    await openStep(page, 'Dry stack');
    await typeRim(page, ['1/8', '0', '−1/8', '0']);
    await page.getByText('Marked: one chalk line').click();
    await save('Record the dry stack');
    await openStep(page, 'Seal the joints');
    await page.getByText('Bead from a tube').click();
    await page.getByLabel('Product').fill('Butyl');
    await page.getByText('Ends joined in every joint').click();
    await page.getByRole('button', { name: 'on the seat (two where it is rough): more' }).click();
    await save('Record the seal');
    await openStep(page, 'Rings in place');
    await save('Go to the stack');
    for (const slab of (await page.locator('.slab-tap').all()).reverse()) await slab.click();
    await save(/^Record . rings? in place/);
    await goTo(page, 'Steps');
    await openStep(page, 'Frame set');
    await page.getByText('Centred').click();
    await save('Record: frame set');
    await openStep(page, 'Backfill');
    await save('Flowable fill');
    await save('Record the backfill');
    await openStep(page, 'Collar and cure');
    await page.getByText('Concrete', { exact: true }).click();
    await save('Record the collar');
    expect(await page.locator('.cure b').last().textContent()).toMatch(/^2[34]:\d\d:\d\d$/);
    await openStep(page, 'Rim round the clock');
    await typeRim(page, ['1/16', '0', '−1/16', '0']);
    await save('Record the rim');
    await openStep(page, 'Straightedge');
    for (const label of ['Along: largest gap', 'Across: largest gap'])
      await page.getByLabel(label).fill('1/8');
    for (const label of ['Along: cover proud', 'Across: cover proud']) await page.getByLabel(label).fill('0');
    await save('Record the straightedge');
    await openStep(page, 'Note');
    await page.getByLabel('What should be known').fill('Root in the chimney');
    await save('Record the note');

    expect((await recordsOf(page)).map(({ kind }) => kind)).toEqual([
      'found',
      'stackChosen',
      'liftReached',
      'mortarBed',
      'spigotTrimmed',
      'dryStacked',
      'sealed',
      'ringsUsed',
      'frameSet',
      'backfilled',
      'collarPlaced',
      'rimChecked',
      'straightedge',
      'note',
    ]);
    const { rimErrorsM, marked } = await factsOf(page, 'dryStacked');
    expect(rimErrorsM.map((error) => Math.round((error / inch) * 1000) / 1000)).toEqual([
      0.125, 0, -0.125, 0,
    ]);
    expect(marked).toBe(true);
    const { joints } = await factsOf(page, 'sealed');
    expect(joints[0]).toMatchObject({ joint: 0, form: 'bead', product: 'Butyl', count: 2, endsJoined: true });
    expect(joints[0].sizeM / inch).toBeCloseTo(0.5, 9);
    expect((await factsOf(page, 'straightedge')).lengthM).toBeCloseTo(3.048, 9);
    expect((await factsOf(page, 'spigotTrimmed')).rings).toEqual(['F3']);
    expect(await page.locator('.recorded').count()).toBe(13);
    expect(await page.locator('.recorded').first().textContent()).toMatch(/R\. Pell.*not sent yet/);
    expect(faults).toEqual([]);
    await page.close();
  });

  it('lets a step be done before its turn but says so, and takes it back with a reason', async () => {
    const { page } = await open();
    await goTo(page, 'Steps');
    await openStep(page, 'Backfill');
    expect(await page.locator('.out-of-order').textContent()).toMatch(/Frame set is not recorded/);
    await page.getByRole('button', { name: 'Concrete' }).click();
    await page.getByRole('button', { name: 'Record the backfill' }).click();
    await page.getByRole('button', { name: 'Undo' }).click();
    expect(await page.getByRole('button', { name: 'Take it back' }).isDisabled()).toBe(true);
    await page.getByText('Wrong cover').click();
    await page.getByRole('button', { name: 'Take it back' }).click();
    expect(await page.locator('.recorded').count()).toBe(0);
    expect(await page.locator('.taken-back').textContent()).toMatch(/Backfill.*Concrete.*Wrong cover/);
    const [filled, withdrawn] = await recordsOf(page);
    expect(withdrawn.facts).toEqual({ record: filled.id, reason: 'Wrong cover' });
    await page.close();
  });

  it('refuses a tube where a vacuum test is asked, and solves for thick rope before it is recorded', async () => {
    const { page } = await open();
    await goTo(page, 'Steps');
    await openStep(page, 'Seal the joints');
    await page.getByText('Bead from a tube').click();
    expect(await page.locator('.step-form .note.stop').textContent()).toMatch(/No tube here/);
    expect(await page.getByRole('button', { name: 'Record the seal' }).isDisabled()).toBe(true);
    await page.getByText('Rope', { exact: true }).first().click();
    await page.getByText('Thick at bottom and top').click();
    await page.getByLabel('Pressed down to').fill('0.30');
    // 0.20 in more in each of two joints.
    await expect.poll(() => page.locator('.step-form').textContent()).toMatch(/Thick rope adds 3\/8 in/);
    expect(await page.getByRole('button', { name: 'Solve for the thick rope first' }).isDisabled()).toBe(
      true,
    );
    await page.getByRole('button', { name: 'Build this one' }).click();
    const chosen = await factsOf(page, 'stackChosen');
    expect(chosen.because).toBe('seal');
    expect(chosen.jointM.base / inch).toBeCloseTo(0.3, 9);
    expect(chosen.jointM.between / inch).toBeCloseTo(0.1, 9);
    await page.getByRole('button', { name: 'Record the seal' }).click();
    const { joints } = await factsOf(page, 'sealed');
    expect(joints).toHaveLength(chosen.stack.length + 1);
    expect(joints.map(({ form }) => form)).not.toContain('bead');
    await page.close();
  });

  it('warns of a plan that does not count the rope of the test, until the stack that does is chosen', async () => {
    const { page } = await open('?rope');
    const warning = page.getByRole('alert', { name: 'Rope of the vacuum test' });
    expect(await warning.textContent()).toMatch(
      /Not to be built yet.*0\.3 in pressed.*Thick rope adds 3\/8 in/,
    );
    const kit = page.getByRole('region', { name: 'Sealant for this stack' });
    expect(await kit.count()).toBe(0);
    await warning.getByRole('button', { name: 'Build this one' }).click();
    await expect.poll(() => warning.count()).toBe(0);
    expect(await kit.textContent()).toMatch(/thick ropes: rolls not reckoned, the length of one is not set/);
    const { because, jointM, stack } = await factsOf(page, 'stackChosen');
    expect([because, jointM.base, jointM.top]).toEqual(['seal', 0.3 * inch, 0.3 * inch]);
    expect(await page.locator('.slab').count()).toBe(stack.length + 1);
    expect(await page.locator('.slabs').textContent()).toMatch(/one thick rope under it.*one rope under it/);
    await page.close();
  });

  it('lays two beads on a seat that was seen rough, and counts what the stack takes', async () => {
    const { page } = await open('?untested');
    const kit = page.getByRole('region', { name: 'Sealant for this stack' });
    // 4 beads of 95.66 in at 1/2 in are 75.1 cu in, 5 are 93.9; a cartridge of 10.1 fl oz is 18.23.
    expect(await kit.textContent()).toBe('To seal it: 4 beads: 5 cartridges.');
    await goTo(page, 'Steps');
    await openStep(page, 'Look at the seat');
    expect(await page.getByRole('button', { name: 'Record the seat' }).isDisabled()).toBe(true);
    await page.getByText('Rough but sound', { exact: true }).first().click();
    await page.getByRole('button', { name: 'Record the seat' }).click();
    expect(await factsOf(page, 'seatSeen')).toEqual({ surface: 'rough' });
    await goTo(page, 'Stack');
    expect(await kit.textContent()).toBe('To seal it: 5 beads: 6 cartridges.');
    expect(await page.locator('.slabs').textContent()).toMatch(/two beads under it/);
    await goTo(page, 'Steps');
    await openStep(page, 'Seal the joints');
    await page.getByText('Bead from a tube').click();
    await page.getByRole('button', { name: 'Record the seal' }).click();
    expect((await factsOf(page, 'sealed')).joints.map(({ count }) => count)).toEqual([2, 1, 1, 1]);
    await page.close();
  });

  it('times a vacuum test by the clock, through a sleep and a reload, and judges it', async () => {
    const { page } = await open();
    await page.clock.install({ time: new Date('2026-11-25T22:00:00Z') });
    await page.reload();
    await goTo(page, 'Vacuum');
    expect(await page.locator('.not-passed').textContent()).toMatch(/^NOT TESTED/);
    expect(await page.locator('.asks').textContent()).toMatch(/hold 60 seconds from 10 to 9 inHg/);
    await page.getByRole('button', { name: /start the clock at 10\.0/ }).click();
    await page.clock.fastForward(30_000);
    await expect.poll(() => page.locator('.timer b').textContent()).toBe('30');
    await page.reload();
    await goTo(page, 'Vacuum');
    await page.clock.fastForward(32_000);
    await expect.poll(() => page.locator('.timer b').textContent()).toMatch(/^6[2-4]$/);
    for (let step = 0; step < 3; step++)
      await page.getByRole('button', { name: 'Now, inHg: 0.1 less' }).click();
    await page.getByRole('button', { name: 'Time is up: stop at 9.7 inHg' }).click();
    await page.getByRole('button', { name: 'Record: passed' }).click();
    const facts = await factsOf(page, 'vacuum');
    expect(facts).toMatchObject({ outcome: 'passed', startInHg: 10, endInHg: 9.7, requiredSeconds: 60 });
    expect(facts.seconds).toBeGreaterThanOrEqual(62);
    expect(await page.locator('.not-passed').count()).toBe(0);
    await page.close();
  });

  it('fails a test that falls to the limit too soon, keeps it beside the next, and never takes one broken off for a test', async () => {
    const { page } = await open('?chimney');
    await page.clock.install({ time: new Date('2026-11-25T22:00:00Z') });
    await page.reload();
    await goTo(page, 'Vacuum');
    expect(await page.locator('.asks').textContent()).toMatch(/agency-defined/);
    const start = page.getByRole('button', { name: /start the clock/ });
    await start.click();
    await page.clock.fastForward(20_000);
    await page.getByRole('button', { name: 'Break off' }).click();
    expect(await page.locator('.test .note').textContent()).toMatch(/that is no test/);
    await page.getByRole('button', { name: 'Start again' }).click();
    await start.click();
    await page.clock.fastForward(40_000);
    await page.getByRole('button', { name: 'Stop: it fell to 9' }).click();
    await page.getByRole('button', { name: 'Record: failed' }).click();
    expect((await factsOf(page, 'vacuum')).scope).toBe('chimney');
    expect(await page.locator('.not-passed').textContent()).toMatch(/^FAILED/);
    await page.getByRole('button', { name: 'It cannot be tested now' }).click();
    await page.getByRole('button', { name: 'Gauge failed' }).click();
    await page.getByRole('button', { name: 'Record: not tested' }).click();
    expect(await page.locator('.not-passed').textContent()).toMatch(/^NOT TESTED/);
    expect(await page.locator('.tests li').count()).toBe(2);
    await page.close();
  });

  it('takes a test begun below the start for none, never for one that failed', async () => {
    const { page } = await open();
    await page.clock.install({ time: new Date('2026-11-25T22:00:00Z') });
    await page.reload();
    await goTo(page, 'Vacuum');
    await page.getByRole('button', { name: 'Start, inHg: 0.5 less' }).click();
    await page.getByRole('button', { name: /start the clock at 9\.5/ }).click();
    await page.clock.fastForward(61_000);
    await page.getByRole('button', { name: 'Time is up: stop at 9.5 inHg' }).click();
    const said = page.locator('.test .note');
    expect(await said.textContent()).toMatch(/^Not tested\. .*started at 9.5 inHg; the table starts at 10/);
    await page.getByRole('button', { name: 'Record: not tested' }).click();
    expect((await factsOf(page, 'vacuum')).outcome).toBe('notTested');
    expect(await page.locator('.not-passed').textContent()).toMatch(/^NOT TESTED/);
    expect(await page.locator('.tests').textContent()).toMatch(/NOT TESTED\. 9\.5 to 9\.5 inHg/);
    await page.close();
  });

  it('records a straightedge by its readings and a bevel, each judged by core', async () => {
    const { page, faults } = await open();
    await goTo(page, 'Steps');
    await openStep(page, 'Straightedge');
    await page.getByText('Along only').click();
    await page.getByText('Gap at places').click();
    const place = (word: string) => page.getByLabel(new RegExp(`^Along, .*: ${word}`));
    await place('near end').fill('0');
    await place('middle of the cover').fill('1/4');
    expect(await page.getByRole('button', { name: 'Record the straightedge' }).isDisabled()).toBe(true);
    await place('mat past the cover').fill('1/16');
    const verdict = page.locator('.step-form [role=status]');
    expect(await verdict.textContent()).toMatch(/Past the limit along.*where the edge rests too/);
    await place('far end').fill('0');
    expect(await verdict.textContent()).not.toMatch(/rests too/);
    await page.getByRole('button', { name: 'Record the straightedge' }).click();
    const { along, across } = await factsOf(page, 'straightedge');
    expect(across).toBeNull();
    expect(along.readings!.map(({ on }) => on)).toEqual(['mat', 'casting', 'mat', 'mat']);
    expect(along.gapM / inch).toBeCloseTo(0.25, 9);
    expect(await page.locator('.recorded').last().textContent()).toMatch(/gap 1\/4 in.*of 4 readings/);
    await openStep(page, 'Bevel at the rim');
    await page.getByLabel('Steepest place: rise').fill('1/4');
    await page.getByLabel('Steepest place: run').fill('3/8');
    expect(await verdict.textContent()).toMatch(/^1:1\.5 is too steep: 1:2 at most/);
    await page.getByLabel('Steepest place: run').fill('1/2');
    expect(await verdict.textContent()).toMatch(/^1:2\.0 is flat enough/);
    await page.getByRole('button', { name: 'Record the bevel' }).click();
    const { riseM, runM } = await factsOf(page, 'bevelled');
    expect([riseM / inch, runM / inch].map((one) => Math.round(one * 1000))).toEqual([250, 500]);
    expect(faults).toEqual([]);
    await page.close();
  });

  it('keeps a picture small, turned as the camera says, and without what the camera noted', async () => {
    const { page, faults } = await open();
    await goTo(page, 'Photo');
    const buffer = await turnedPicture(page, 3000, 1800);
    expect(buffer.includes('Exif')).toBe(true);
    await page
      .locator('input[type=file]')
      .first()
      .setInputFiles({ name: 'seat.jpg', mimeType: 'image/jpeg', buffer });
    await page.getByRole('button', { name: 'Seat' }).click();
    await page.getByRole('button', { name: 'Keep it' }).click();
    await expect.poll(() => page.locator('.photos img').count()).toBe(1);
    const kept = await page.locator('.photos img').evaluate(async (image: HTMLImageElement) => {
      await image.decode();
      const canvas = new OffscreenCanvas(image.naturalWidth, image.naturalHeight);
      const pen = canvas.getContext('2d')!;
      pen.drawImage(image, 0, 0);
      const bytes = new Uint8Array(await (await fetch(image.src)).arrayBuffer());
      const text = Array.from(bytes.slice(0, 4000), (byte) => String.fromCharCode(byte)).join('');
      const red = (x: number) => pen.getImageData(x, 20, 1, 1).data[0];
      return {
        size: [image.naturalWidth, image.naturalHeight],
        left: red(20),
        right: red(canvas.width - 20),
        text,
      };
    });
    // 3000 x 1800 lying on its side; what was on top in the file is on the right once it is turned.
    expect(kept.size).toEqual([1229, 2048]);
    expect(kept.right).toBeGreaterThan(200);
    expect(kept.left).toBeLessThan(50);
    expect(kept.text).not.toContain('Exif');
    expect(await factsOf(page, 'photo')).toMatchObject({ caption: 'Seat', mediaType: 'image/jpeg' });
    const wrong = { name: 'notes.jpg', mimeType: 'image/jpeg', buffer: Buffer.from('no picture') };
    await page.locator('input[type=file]').first().setInputFiles(wrong);
    expect(await page.getByRole('alert').textContent()).toMatch(/notes\.jpg is not a picture/);
    expect(faults).toEqual([]);
    await page.close();
  });

  it.each([
    ['a phone', 390, 844],
    ['a tablet', 1024, 768],
    ['a desk', 1440, 900],
  ])('is big, plain and read by a screen reader on %s', async (_, width, height) => {
    const { page } = await openHole(browser, served.address, [width, height]);
    const check = async (what: string) => {
      expect({ what, faults: await faintOrSmall(page) }).toEqual({ what, faults: [] });
      expect({ what, faults: await violationsOf(page) }).toEqual({ what, faults: [] });
    };
    if (width < 900) await check('Stack');
    for (const tab of ['Tapes', 'Vacuum', 'Photo', 'Steps']) {
      await goTo(page, tab);
      await check(tab);
    }
    const words = await page.locator('.step-head').allTextContents();
    expect(words.length).toBe(17);
    for (let index = 0; index < words.length; index++) {
      await page.locator('.step-head').nth(index).click();
      await check(words[index]);
    }
    await goTo(page, 'Tapes');
    await page.getByLabel('Tape at 12 o’clock').focus();
    await press(page, '1', '3', '⅞');
    await check('the pad');
    await page.close();
  });
});
