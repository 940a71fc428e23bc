import { mkdirSync } from 'node:fs';
import { join } from 'node:path';
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { readTapes } from '#core/surface/tapes.ts';
import type { CoverCard } from '#shared/cover.ts';
import { inch } from '../web/field/card.ts';
import {
  assignNight,
  bar,
  type NightServer,
  openCover,
  phone,
  startNight,
  toList,
  waitingOn,
} from './crew-night.ts';
import { turnedPicture } from './hole-page/camera.ts';
import { goTo, openStep, typeRim } from './hole-page/hand.ts';
import { browserPath, eventually, startBrowser } from './running.ts';

const shots = process.env.SCREENSHOTS;

describe.skipIf(browserPath === null)('a whole night’s work without a server', { timeout: 240_000 }, () => {
  let server: NightServer;
  let browser: Browser;
  let cards: CoverCard[];
  beforeAll(async () => {
    if (shots) mkdirSync(shots, { recursive: true });
    [browser, server] = await Promise.all([startBrowser(), startNight()]);
    cards = await assignNight(server, 4);
  }, 150_000);
  afterAll(async () => {
    await browser?.close();
    await server?.stop();
  }, 60_000);

  it('keeps every step at a cover through a reload, and sends each once and in order', async () => {
    const { page, faults } = await phone(browser, server, { name: 'R. Pell' });
    await page.clock.install();
    await page.reload();
    await eventually(() => page.locator('.crew-list li').count()).toBe(4);
    await server.kill();
    const [whole, ...others] = cards.map(({ structure: { id } }) => id);
    const made: string[] = [];
    /** Presses what records, and sees at once that the phone counts it. */
    const save = async (id: string, kind: string, name: string | RegExp) => {
      await page.getByRole('button', { name }).click();
      made.push(`${id} ${kind}`);
      if (kind === 'photo') made.push(`${id} picture`);
      await eventually(() => bar(page)).toMatch(
        new RegExp(`(?<!\\d)${made.length} unsent, safe on this phone`),
      );
    };

    await openCover(page, whole);
    await workFirst(page, whole, save);
    await tape(page, cards[0]);
    await save(whole, 'stackChosen', /^Build (this|it)/);
    await workStack(page, whole, save);
    await workRim(page, whole, save);
    await testVacuum(page, whole, save);
    await notePhoto(page, whole, save);
    if (shots) await page.screenshot({ path: join(shots, 'whole-photo-390.png') });
    await toList(page);
    for (const id of others.slice(0, 2)) {
      await openCover(page, id);
      await goTo(page, 'Steps');
      await openStep(page, 'Find it');
      await page.getByText('Found', { exact: true }).click();
      await save(id, 'found', 'Record: found');
      await toList(page);
    }

    const waiting = await waitingOn(page);
    expect(waiting.map(({ structureId, kind }) => `${structureId} ${kind}`)).toEqual(
      made.filter((one) => !one.endsWith('picture')),
    );
    await page.reload();
    await eventually(() => bar(page)).toMatch(
      new RegExp(`No signal.*(?<!\\d)${made.length} unsent, safe on this phone`),
    );
    expect(await waitingOn(page)).toEqual(waiting);

    await server.restart();
    await page.evaluate(() => dispatchEvent(new Event('online')));
    await eventually(() => bar(page)).toMatch(/^Signal.*All sent/);
    const records = await server.records();
    expect(records.map(({ seq: _seq, receivedAt: _at, ...record }) => record)).toEqual(waiting);
    expect(new Set(records.map(({ id }) => id)).size).toBe(waiting.length);
    const chosen = waiting.find(({ kind }) => kind === 'stackChosen')!.facts as {
      tapes: Parameters<typeof Object>[0] & { downM: [number, number, number, number]; radiusM: number };
    };
    const { rise } = readTapes({ down: chosen.tapes.downM, radius: chosen.tapes.radiusM, bearing: 0 });
    expect(rise / inch).toBeCloseTo(downInches(cards[0]), 9);
    const card = await server.read<CoverCard>(`${server.project()}/covers/${encodeURIComponent(whole)}`);
    expect(card.fieldStatus).toBe('set');
    const { photo } = Object.fromEntries(waiting.map(({ kind, facts }) => [kind, facts])) as unknown as {
      photo: { sha256: string; bytes: number };
    };
    const agency = server.project().split('/')[2];
    const sent = await fetch(`${server.address()}/api/agencies/${agency}/photos/${photo.sha256}`);
    expect((await sent.arrayBuffer()).byteLength).toBe(photo.bytes);
    // Calls while no server was there are the only faults.
    expect(faults.filter((fault) => !/ERR_CONNECTION|ERR_INCOMPLETE|ERR_NETWORK/.test(fault))).toEqual([]);
    await page.context().close();
  });
});

type Save = (id: string, kind: string, name: string | RegExp) => Promise<void>;

/** Seat to grade by the plan and a half inch more, to a sixteenth, so that another stack is needed. */
const downInches = ({ plan, structure }: CoverCard) =>
  Math.round(((plan!.finished!.elevationM - structure.seatElevationM!) / inch) * 16) / 16 + 0.5;

async function tape(page: Page, card: CoverCard): Promise<void> {
  await goTo(page, 'Tapes');
  for (const hour of [12, 3, 6, 9])
    await page.getByLabel(`Tape at ${hour} o’clock`).fill(String(downInches(card)));
  await page.getByRole('button', { name: 'Done', exact: true }).click();
  await page.getByRole('button', { name: 'Solve with these tapes' }).click();
}

async function workFirst(page: Page, id: string, save: Save): Promise<void> {
  await goTo(page, 'Steps');
  await openStep(page, 'Find it');
  await page.getByText('Found', { exact: true }).click();
  await save(id, 'found', 'Record: found');
  await openStep(page, 'Lower and plate');
  await page.getByLabel('Plate number').fill('P-14');
  await page.getByLabel('Tie 1, to').fill('Hydrant');
  await page.getByLabel('Tie 1, feet').fill('18');
  await page.getByLabel('Tie 1, inches').fill('4');
  await save(id, 'plated', 'Record: lowered and plated');
  await openStep(page, 'Lower and plate');
  await save(id, 'reopened', 'Record: plate P-14 is off');
  await openStep(page, 'Paving stage');
  await page.getByText('Milled').click();
  await page.getByText('Left low').click();
  await save(id, 'liftReached', 'Record this stage');
  await openStep(page, 'Mortar bed');
  await page.getByText('Seat not flat').click();
  await page.getByLabel('Bed, thickness').fill('1/2');
  await save(id, 'mortarBed', 'Record the mortar bed');
}

async function workStack(page: Page, id: string, save: Save): Promise<void> {
  await goTo(page, 'Steps');
  await openStep(page, 'Trim a spigot');
  await page.getByText('Opening off centre').click();
  await page.locator('.ticks .tick').first().click();
  await save(id, 'spigotTrimmed', 'Record the trimmed spigot');
  await openStep(page, 'Dry stack');
  await typeRim(page, ['1/8', '0', '−1/8', '0']);
  await page.getByText('Marked: one chalk line').click();
  await save(id, 'dryStacked', 'Record the dry stack');
  await openStep(page, 'Seal the joints');
  await page.getByText('Bead from a tube').click();
  await page.getByLabel('Product').fill('Butyl');
  await page.getByText('Ends joined in every joint').click();
  await page.getByRole('button', { name: 'on the seat (two where it is rough): more' }).click();
  await save(id, 'sealed', 'Record the seal');
  await openStep(page, 'Rings in place');
  await page.getByRole('button', { name: 'Go to the stack' }).click();
  for (const slab of (await page.locator('.slab-tap').all()).reverse()) await slab.click();
  await save(id, 'ringsUsed', /^Record . rings? in place/);
  await goTo(page, 'Steps');
  await openStep(page, 'Frame set');
  await page.getByText('Centred').click();
  await save(id, 'frameSet', 'Record: frame set');
  await openStep(page, 'Backfill');
  await page.getByRole('button', { name: 'Flowable fill' }).click();
  await save(id, 'backfilled', 'Record the backfill');
  await openStep(page, 'Collar and cure');
  await page.getByText('Concrete', { exact: true }).click();
  await save(id, 'collarPlaced', 'Record the collar');
}

async function workRim(page: Page, id: string, save: Save): Promise<void> {
  await openStep(page, 'Rim round the clock');
  await typeRim(page, ['1/16', '0', '−1/16', '0']);
  await save(id, 'rimChecked', 'Record the rim');
  await openStep(page, 'Straightedge');
  for (const side of ['Along', 'Across']) {
    await page.getByLabel(`${side}: largest gap`).fill('1/8');
    await page.getByLabel(`${side}: cover proud`).fill('0');
  }
  await save(id, 'straightedge', 'Record the straightedge');
}

/** The clock runs on through a reload in the middle of the test. */
async function testVacuum(page: Page, id: string, save: Save): Promise<void> {
  await goTo(page, 'Vacuum');
  await page.getByLabel('Barrel, inside').fill('48');
  await page.getByLabel('Depth, rim to invert').fill('8');
  await page.getByRole('button', { name: 'Done', exact: true }).click();
  await page.getByRole('button', { name: /start the clock at 10\.0/ }).click();
  await page.clock.fastForward(25_000);
  await page.reload();
  await goTo(page, 'Vacuum');
  await page.clock.fastForward(20_000);
  await page.getByRole('button', { name: 'Now, inHg: 0.1 less' }).click();
  await page.getByRole('button', { name: 'Time is up: stop at 9.9 inHg' }).click();
  await save(id, 'vacuum', 'Record: passed');
}

/** A picture counts twice: the record that names it, and its bytes. */
async function notePhoto(page: Page, id: string, save: Save): Promise<void> {
  await goTo(page, 'Steps');
  await openStep(page, 'Note');
  await page.getByLabel('What should be known').fill('Root in the chimney');
  await save(id, 'note', 'Record the note');
  await goTo(page, 'Photo');
  const buffer = await turnedPicture(page, 1200, 900);
  const file = { name: 'seat.jpg', mimeType: 'image/jpeg', buffer };
  await page.locator('input[type=file]').first().setInputFiles(file);
  await page.getByRole('button', { name: 'Seat' }).click();
  await save(id, 'photo', 'Keep it');
}
