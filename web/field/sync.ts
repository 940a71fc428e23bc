import { signal } from '@preact/signals';
import { ApiError, watch } from '../api.ts';
import { crewNight, recordsSince, sendPicture, sendRecords } from './calls.ts';
import { put, remove, type StoredNight, type Waiting } from './database.ts';
import { fresher } from './fresher.ts';
import { night, nights, outbox, pictures, readAgain } from './night.ts';
import { say } from './said.ts';

/** Whether the server answered when it was last asked. */
export const hasSignal = signal(false);

const largestBatch = 100;
const everyMs = 60_000;
const leastWaitMs = 2000;

let [isUnderWay, isAskedAgain, waitMs] = [false, false, leastWaitMs];
let retry = 0;

/** Sends and fetches now, or after what is under way. One tab at a time does: the others look at what it left. */
export function sendSoon(): void {
  if (isUnderWay) {
    isAskedAgain = true;
    return;
  }
  isUnderWay = true;
  clearTimeout(retry);
  void navigator.locks
    .request('rimplane-crew-sync', exchange)
    .then(
      () => {
        hasSignal.value = true;
        waitMs = leastWaitMs;
      },
      () => {
        hasSignal.value = false;
        retry = window.setTimeout(sendSoon, waitMs);
        waitMs = Math.min(everyMs, waitMs * 2);
      },
    )
    .finally(() => {
      isUnderWay = false;
      if (!isAskedAgain || !hasSignal.peek()) return;
      isAskedAgain = false;
      sendSoon();
    });
}

async function exchange(): Promise<void> {
  await readAgain();
  await sendOutbox();
  await fetchOthers();
  await fetchNight();
  for (const picture of pictures.peek().filter(({ isSent }) => !isSent)) {
    await sendPicture(picture);
    await put('pictures', { ...picture, isSent: true });
  }
  await readAgain();
}

/** In the order in which they were made. What is refused stays, with the reason. */
async function sendOutbox(): Promise<void> {
  for (;;) {
    const waiting = outbox.peek().filter(({ refused }) => refused === null);
    if (waiting.length === 0) return;
    const [{ agency, project }] = waiting;
    const end = waiting.findIndex((one) => one.agency !== agency || one.project !== project);
    const batch = waiting.slice(0, Math.min(largestBatch, end < 0 ? waiting.length : end));
    const { items } = await sendRecords(
      agency,
      project,
      batch.map(({ record }) => record),
    );
    await keepReceipt(batch, items);
    await readAgain();
  }
}

/** A record leaves the outbox only after the night on this phone holds it as received. */
async function keepReceipt(
  batch: readonly Waiting[],
  items: Awaited<ReturnType<typeof sendRecords>>['items'],
): Promise<void> {
  const taken: Waiting[] = [];
  for (const [index, { outcome, message }] of items.entries()) {
    if (outcome === 'refused')
      await put('outbox', { ...batch[index], refused: message ?? 'The server gave no reason.' });
    else taken.push(batch[index]);
  }
  for (const stored of nights.peek()) {
    const records = items.flatMap(({ outcome, seq, receivedAt }, index) =>
      outcome !== 'refused' && seq !== null && batch[index].night === stored.key
        ? [{ ...batch[index].record, seq, receivedAt: receivedAt! }]
        : [],
    );
    if (records.length > 0) await put('nights', withRecords(stored, records, stored.bundle.lastSeq));
  }
  await remove(
    'outbox',
    taken.map(({ number }) => number),
  );
}

function withRecords(
  stored: StoredNight,
  came: StoredNight['bundle']['records'],
  lastSeq: number,
): StoredNight {
  const { bundle } = stored;
  const ids = new Set(bundle.cards.map(({ structure }) => structure.id));
  const byId = new Map(bundle.records.map((record) => [record.id, record]));
  for (const record of came) if (ids.has(record.structureId)) byId.set(record.id, record);
  const records = [...byId.values()].sort((a, b) => a.seq - b.seq);
  return { ...stored, bundle: { ...bundle, records, lastSeq } };
}

async function fetchOthers(): Promise<void> {
  const open = night.peek();
  if (!open) return;
  const { agency, bundle } = open;
  const came = await recordsSince(agency, bundle.project.id, bundle.lastSeq);
  if (came.length > 0) await put('nights', withRecords(open, came, came.at(-1)!.seq));
}

/** Puts a night that came over the one on the phone; nothing unsent is hidden by it. */
export async function keepNight(came: StoredNight): Promise<void> {
  const before = nights.peek().find(({ key }) => key === came.key);
  const unsent = outbox
    .peek()
    .filter(({ agency, project }) => agency === came.agency && project === came.bundle.project.id)
    .map(({ record }) => record);
  await put('nights', fresher(before, came, unsent));
  await readAgain();
}

/** Cards, plans and the list itself as the office has them now. */
async function fetchNight(): Promise<void> {
  await readAgain();
  const open = night.peek();
  if (!open) return;
  const { key, agency, bundle, tag } = open;
  const which = { agency, project: bundle.project.id, night: bundle.night, crew: bundle.crew };
  const came = await crewNight(which, tag ?? null).catch((error: unknown) => {
    // A refusal is an answer: there is a signal.
    if (!(error instanceof ApiError)) throw error;
    say(error.message);
    return null;
  });
  if (came) await keepNight({ key, agency, ...came });
}

/** Asks whenever there may be a signal: on the way back to the page, on a notice, and every minute. */
export function keepInStep(): void {
  addEventListener('online', sendSoon);
  addEventListener('focus', sendSoon);
  document.addEventListener('visibilitychange', () => {
    if (document.visibilityState === 'visible') sendSoon();
  });
  setInterval(sendSoon, everyMs);
  let [watched, stop] = ['', () => {}];
  night.subscribe((open) => {
    const path = open ? `/agencies/${open.agency}/projects/${open.bundle.project.id}/events` : '';
    if (path === watched) return;
    stop();
    watched = path;
    stop = path === '' ? () => {} : watch(path, ['record', 'revision'], sendSoon);
  });
  sendSoon();
}
