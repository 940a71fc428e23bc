import { readFileSync } from 'node:fs';
import type { Browser, Page } from 'playwright-core';
import { afterAll, afterEach, beforeAll, describe, expect, it } from 'vitest';
import type { CoverCard } from '#shared/cover.ts';
import {
  assignNight,
  bar,
  type NightServer,
  openCover,
  type PhoneOptions,
  phone,
  startNight,
  toList,
  waitingOn,
} from './crew-night.ts';
import { noisePicture } from './hole-page/camera.ts';
import { goTo, openStep, typeRim } from './hole-page/hand.ts';
import { browserPath, eventually, startBrowser, violationsOf } from './running.ts';
import { type ShakyLine, shakyLine } from './shaky-line.ts';

const shots = process.env.SCREENSHOTS;
const isSending = (call: string) => /^POST .*\/field-records$/.test(call);
const isOfNight = (call: string) => call.includes('/crew-night?');

describe.skipIf(browserPath === null)('a phone with a line that fails', { timeout: 180_000 }, () => {
  let server: NightServer;
  let line: ShakyLine;
  let browser: Browser;
  let cards: CoverCard[];
  const ids = () => cards.map(({ structure: { id } }) => id);
  beforeAll(async () => {
    [browser, server] = await Promise.all([startBrowser(), startNight()]);
    line = await shakyLine(server.address);
    cards = await assignNight(server, 4);
  }, 150_000);
  afterEach(() => {
    line.trouble = null;
  });
  afterAll(async () => {
    await browser?.close();
    await line?.stop();
    await server?.stop();
  }, 60_000);

  const open = async (name: string, before?: PhoneOptions['before']) =>
    (await phone(browser, { ...server, address: () => line.address }, { name, before })).page;
  const backfill = async (page: Page, id: string) => {
    await openCover(page, id);
    await goTo(page, 'Steps');
    await openStep(page, 'Backfill');
    await page.getByRole('button', { name: 'Concrete' }).click();
    await page.getByRole('button', { name: 'Record the backfill' }).click();
  };
  const noted = async (page: Page, words: string) => {
    await openStep(page, 'Note');
    await page.getByLabel('What should be known').fill(words);
    await page.getByRole('button', { name: 'Record the note' }).click();
  };
  /** What the server has of these words. */
  const keptNotes = async (start: string) =>
    (await server.records()).flatMap(({ kind, facts }) => {
      const { text } = facts as { text?: string };
      return kind === 'note' && text?.startsWith(start) ? [text] : [];
    });
  const again = (page: Page) => page.evaluate(() => dispatchEvent(new Event('online')));

  it('keeps a record that the server refuses, with its reason, until it is saved as a file and cleared', async () => {
    const page = await open('R. Pell');
    await page.context().setOffline(true);
    await backfill(page, ids()[0]);
    await eventually(() => bar(page)).toMatch(/No signal.*1 unsent/);
    const [mine] = await waitingOn(page);
    // Somebody else's record got the same id: the server cannot keep both under it.
    const other = { ...mine, by: 'Somebody else', kind: 'note', facts: { text: 'Another one' } };
    const sent = await server.send('POST', `${server.project()}/field-records`, { records: [other] });
    expect((await sent.json()).items[0].outcome).toBe('stored');
    await page.context().setOffline(false);
    await eventually(() => bar(page)).toMatch(/^Signal.*1 unsent/);
    await page.locator('.crew-bar').click();
    const why = page.locator('.crew-refused');
    await eventually(() => why.textContent()).toMatch(
      /^Not taken: There is another record .*, of Somebody else/,
    );
    if (shots) await page.screenshot({ path: `${shots}/refused-390.png` });
    expect(await violationsOf(page)).toEqual([]);
    await page.reload();
    await eventually(() => bar(page)).toMatch(/^Signal.*1 unsent/);
    await page.locator('.crew-bar').click();
    // Sent again it is refused again, and stays.
    await page.getByRole('button', { name: 'Send it again' }).click();
    await eventually(() => why.count()).toBe(1);
    const saving = page.waitForEvent('download');
    await page.getByRole('button', { name: 'Save it as a file and clear it' }).click();
    const saved = JSON.parse(readFileSync(await (await saving).path(), 'utf8'));
    expect(saved.records.map(({ record }: { record: { id: string } }) => record.id)).toEqual([mine.id]);
    expect(saved.records[0].refused).toMatch(/There is another record/);
    await eventually(() => bar(page)).toMatch(/^Signal.*All sent/);
    expect(await waitingOn(page)).toEqual([]);
    await page.context().close();
  });

  it('sends from two tabs at once, each record once', async () => {
    const one = await open('A. Quill');
    const opening = one.waitForEvent('popup');
    await one.evaluate(() => window.open('/crew') && undefined);
    const two = await opening;
    two.setDefaultTimeout(20_000);
    await two.locator('.crew-list li').first().waitFor();
    const [id] = ids();
    await one.context().setOffline(true);
    for (const page of [one, two]) {
      await openCover(page, id);
      await goTo(page, 'Steps');
    }
    for (let at = 0; at < 5; at++) {
      await noted(one, `tabs ${at} of one`);
      await noted(two, `tabs ${at} of two`);
    }
    await eventually(async () => (await waitingOn(one)).length).toBe(10);
    const made = (await waitingOn(one)).map((record) => record.id);
    line.seen.length = 0;
    await one.context().setOffline(false);
    await Promise.all([again(one), again(two)]);
    for (const page of [one, two]) await eventually(() => bar(page)).toMatch(/^Signal.*All sent/);
    const sent = line.seen.flatMap((call) => call.ids);
    expect(sent.toSorted()).toEqual(made.toSorted());
    expect(await keptNotes('tabs')).toHaveLength(10);
    await one.context().close();
  });

  it('says in words that it is full, drops nothing, and keeps the picture once there is room', async () => {
    let room: (bytes: number) => Promise<unknown> = async () => {};
    // The browser asks how much room there is before it keeps anything, and reckons with that for a while.
    const before = async (page: Page) => {
      const session = await page.context().newCDPSession(page);
      room = (quotaSize) =>
        session.send('Storage.overrideQuotaForOrigin', { origin: line.address, quotaSize });
      await room(8_000_000);
    };
    const page = await open('B. Tarn', before);
    await page.context().setOffline(true);
    await backfill(page, ids()[1]);
    await eventually(() => bar(page)).toMatch(/1 unsent/);
    await goTo(page, 'Photo');
    const file = { name: 'seat.png', mimeType: 'image/png' };
    const full = page.locator('.crew-said');
    let kept = 0;
    for (; kept < 8; kept++) {
      const buffer = await noisePicture(page, 2048);
      await page
        .locator('input[type=file]')
        .last()
        .setInputFiles({ ...file, buffer });
      await page.getByLabel('What it shows').fill(`Seat ${kept}`);
      await page.getByRole('button', { name: 'Keep it' }).click();
      // A record and its picture, or the words.
      await eventually(async () =>
        (await full.count()) > 0 ? 'full' : ((await bar(page)) ?? '').replace(/\D/g, ''),
      ).toMatch(new RegExp(`^(full|${3 + 2 * kept})$`));
      if ((await full.count()) > 0) break;
    }
    expect(kept).toBeLessThan(8);
    expect(await full.textContent()).toMatch(/^The phone has no room left\. Nothing was dropped/);
    expect(await page.locator('.photo-tab [role=alert]').textContent()).toMatch(
      /The picture is still here\./,
    );
    if (shots) await page.screenshot({ path: `${shots}/full-390.png` });
    expect(await bar(page)).toContain(`${1 + 2 * kept} unsent`);
    await room(200_000_000);
    await page.getByRole('button', { name: 'Keep it' }).click();
    await eventually(() => bar(page)).toMatch(new RegExp(`(?<!\\d)${3 + 2 * kept} unsent`));
    await page.context().setOffline(false);
    await eventually(() => bar(page)).toMatch(/All sent/);
    const here = (await server.records()).filter(({ structureId }) => structureId === ids()[1]);
    expect(here.map(({ kind }) => kind)).toEqual(['backfilled', ...Array(kept + 1).fill('photo')]);
    await page.context().close();
  });

  it('offers a newer page while work waits, and keeps the work when it is taken', async () => {
    const page = await open('C. Ower');
    const held = { takes: isSending, what: { refuse: 503, detail: 'Not now.' } };
    line.trouble = held;
    await backfill(page, ids()[2]);
    await eventually(() => bar(page)).toMatch(/1 unsent/);
    const before = await waitingOn(page);
    const alter = (text: string) => text.replace(/crew-[0-9a-f]{16}/, 'crew-0123456789abcdef');
    line.trouble = { takes: (call) => call === 'GET /crew-worker.js', what: { alter } };
    await page.evaluate(async () => (await navigator.serviceWorker.getRegistration('/crew'))!.update());
    line.trouble = held;
    const offer = page.getByText('A newer version is ready. Your work stays.');
    await offer.waitFor();
    if (shots) await page.screenshot({ path: `${shots}/newer-390.png` });
    await page.evaluate(() => Object.assign(window, { isOld: true }));
    await page.getByRole('button', { name: 'Take it now' }).click();
    await page.waitForFunction(() => !('isOld' in window));
    await eventually(() => bar(page)).toMatch(/1 unsent/);
    expect(await offer.count()).toBe(0);
    expect(await page.evaluate(() => caches.keys())).toEqual(['crew-0123456789abcdef']);
    expect(await waitingOn(page)).toEqual(before);
    line.trouble = null;
    await again(page);
    await eventually(() => bar(page)).toMatch(/^Signal.*All sent/);
    await page.context().close();
  });

  it.each([
    [403, 'This phone may not.'],
    [404, 'There is no project "gone".'],
    [500, 'Internal Server Error'],
  ])(
    'says what the server answered with %d, which is not that there is no signal',
    async (status, detail) => {
      const page = await open('D. Osk');
      line.trouble = { takes: isOfNight, what: { refuse: status, detail } };
      await again(page);
      await eventually(() => bar(page)).toMatch(/^Refused.*All sent/);
      const words = page.locator('.crew-said');
      expect(await words.textContent()).toContain(
        `does not give what this phone asks for (HTTP ${status}). ${detail}`,
      );
      if (shots) await page.screenshot({ path: `${shots}/answer-${status}-390.png` });
      expect(await violationsOf(page)).toEqual([]);
      expect(await page.locator('.crew-list li').count()).toBe(4);
      line.trouble = null;
      await again(page);
      await eventually(() => bar(page)).toMatch(/^Signal/);
      expect(await words.count()).toBe(0);
      await page.context().close();
    },
  );

  it('counts nothing as received of a batch that was cut in its body or of which nobody heard the answer', async () => {
    const page = await open('E. Varr');
    await page.context().setOffline(true);
    await openCover(page, ids()[3]);
    await goTo(page, 'Steps');
    for (const word of ['first', 'second', 'third']) await noted(page, `cut ${word}`);
    await eventually(() => bar(page)).toMatch(/3 unsent/);
    line.trouble = { takes: isSending, what: 'cutBody' };
    line.seen.length = 0;
    await page.context().setOffline(false);
    await eventually(async () => line.seen.filter(({ call }) => isSending(call)).length).toBeGreaterThan(0);
    await eventually(() => bar(page)).toMatch(/No signal.*3 unsent/);
    expect(await keptNotes('cut')).toEqual([]);
    line.trouble = { takes: isSending, what: 'cutAnswer' };
    await again(page);
    await eventually(() => keptNotes('cut')).toHaveLength(3);
    await eventually(() => bar(page)).toMatch(/3 unsent/);
    line.trouble = null;
    await again(page);
    await eventually(() => bar(page)).toMatch(/^Signal.*All sent/);
    // The whole batch went each time, and is there once, in its order.
    expect(
      line.seen.filter(({ ids: some }) => some.length > 0).every(({ ids: some }) => some.length === 3),
    ).toBe(true);
    expect(await keptNotes('cut')).toEqual(['cut first', 'cut second', 'cut third']);
    await page.context().close();
  });

  it('leaves one record that no server understands behind, and sends the others', async () => {
    const page = await open('F. Lund');
    await page.context().setOffline(true);
    await openCover(page, ids()[3]);
    await goTo(page, 'Steps');
    await noted(page, 'around 1');
    await noted(page, 'around 2');
    await noted(page, 'around 3');
    // As a later page would record it, of a kind that this server has no name for.
    await page.evaluate(
      () =>
        new Promise<void>((resolve) => {
          const request = indexedDB.open('rimplane-crew');
          request.onsuccess = () => {
            const store = request.result.transaction('outbox', 'readwrite').objectStore('outbox');
            const all = store.getAll();
            all.onsuccess = () => {
              const [, second] = all.result;
              store.put({ ...second, record: { ...second.record, kind: 'laterKind' } });
              store.transaction.oncomplete = () => resolve();
            };
          };
        }),
    );
    await page.context().setOffline(false);
    await eventually(() => bar(page)).toMatch(/^Signal.*1 unsent/);
    await page.locator('.crew-bar').click();
    await page.locator('.crew-refused').waitFor();
    expect(await keptNotes('around')).toEqual(['around 1', 'around 3']);
    await page.context().close();
  });

  it('fetches the night for what concerns it alone, and then shows the new stack of a rim off grade', async () => {
    const page = await open('G. Marsh');
    const id = ids()[0];
    const record = (structureId: string, kind: string, facts: object) => ({
      ...{ id: crypto.randomUUID(), structureId, kind, facts, by: 'Ida Brook', device: crypto.randomUUID() },
      ...{ deviceTime: new Date().toISOString(), seen: 1_000_000 },
    });
    const send = (...records: object[]) =>
      server.send('POST', `${server.project()}/field-records`, { records });
    await eventually(() => bar(page)).toMatch(/^Signal/);
    await page.waitForTimeout(1500);
    const { items } = await server.read<{ items: { id: string }[] }>(`${server.project()}/covers?limit=60`);
    const far = items.find((one) => !ids().includes(one.id))!.id;
    line.seen.length = 0;
    const calls = (of: (call: string) => boolean) => line.seen.filter(({ call }) => of(call)).length;
    const isOfRecords = (call: string) => call.includes('/field-records?since=');
    // A plate there moves a status of the project, and a note says something: neither is of this night.
    await send(record(far, 'plated', { plate: 'P-9', rimElevationM: null, ties: [] }));
    await send(record(far, 'note', { text: 'elsewhere' }));
    await page.waitForTimeout(2500);
    expect([calls(isOfRecords), calls(isOfNight)]).toEqual([0, 0]);
    // One of its own is taken by itself.
    await send(record(ids()[1], 'note', { text: 'of this night' }));
    await eventually(async () => calls(isOfRecords)).toBeGreaterThan(0);
    await page.waitForTimeout(1500);
    expect(calls(isOfNight)).toBe(0);

    await openCover(page, id);
    await goTo(page, 'Steps');
    await openStep(page, 'Rim round the clock');
    await typeRim(page, ['3/4', '3/4', '3/4', '3/4']);
    await page.getByRole('button', { name: 'Record the rim' }).click();
    await eventually(() => bar(page)).toMatch(/All sent/);
    await eventually(async () => calls(isOfNight)).toBeGreaterThan(0);
    await goTo(page, 'Stack');
    const note = page.getByRole('region', { name: 'New stack from the rim as measured' });
    await note.waitFor();
    expect(await note.textContent()).toMatch(
      /The rim was off grade\. New stack .*Seat or joints are .* in (lower|higher)/,
    );
    if (shots) await page.screenshot({ path: `${shots}/new-stack-390.png` });
    expect(await violationsOf(page)).toEqual([]);
    await note.getByRole('button', { name: 'Build this stack' }).click();
    await eventually(() => note.count()).toBe(0);
    await eventually(() => bar(page)).toMatch(/All sent/);
    const chosen = (await server.records()).filter(({ kind }) => kind === 'stackChosen');
    expect(chosen.at(-1)).toMatchObject({
      structureId: id,
      facts: { because: 'other', reason: 'New stack from the rim as measured' },
    });
    await toList(page);
    await page.context().close();
  });
});
