import { signal } from '@preact/signals';
import { watch } from '../api.ts';
import { recordsSince, sendPicture, sendRecords } from './calls.ts';
import { put, remove, type Waiting } from './database.ts';
import { night, nights, outbox, pictures, readAgain } from './night.ts';

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

type Stored = ReturnType<typeof nights.peek>[number];

function withRecords(stored: Stored, came: Stored['bundle']['records'], lastSeq: number): Stored {
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
    stop = path === '' ? () => {} : watch(path, 'record', sendSoon);
  });
  sendSoon();
}
