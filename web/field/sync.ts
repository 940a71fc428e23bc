import type { RecordsCame } from '#shared/field-record.ts';
import type { ProjectRevision } from '#shared/job.ts';
import { ApiError, watch } from '../api.ts';
import { crewNight, recordsSince, sendPicture, sendRecords } from './calls.ts';
import { askFor, mayChangeCard } from './concerns.ts';
import { put, remove, type StoredNight, type Waiting } from './database.ts';
import { fresher } from './fresher.ts';
import { line, lineOf } from './line.ts';
import { night, nights, outbox, pictures, readAgain } from './night.ts';

const largestBatch = 100;
const everyMs = 60_000;
const leastWaitMs = 2000;

let [isUnderWay, isAskedAgain, waitMs] = [false, false, leastWaitMs];
/** Whether the office's night is asked for too, until it was. */
let isNightWanted = false;
let retry = 0;

/** Sends what waits and fetches the night; as `exchangeSoon`. */
export function sendSoon(): void {
  isNightWanted = true;
  exchangeSoon();
}

/** Sends and fetches now, or after what is under way. One tab at a time does: the others look at what it left. */
export function exchangeSoon(): void {
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
        line.value = { state: 'signal' };
        waitMs = leastWaitMs;
      },
      (error: unknown) => {
        line.value = lineOf(error);
        retry = window.setTimeout(exchangeSoon, waitMs);
        waitMs = Math.min(everyMs, waitMs * 2);
      },
    )
    .finally(() => {
      isUnderWay = false;
      if (!isAskedAgain || line.peek().state !== 'signal') return;
      isAskedAgain = false;
      exchangeSoon();
    });
}

async function exchange(): Promise<void> {
  await readAgain();
  await sendOutbox();
  await fetchOthers();
  const refusal = isNightWanted ? await fetchNight() : null;
  for (const picture of pictures.peek().filter(({ isSent }) => !isSent)) {
    await sendPicture(picture);
    await put('pictures', { ...picture, isSent: true });
  }
  await readAgain();
  // The pictures went all the same.
  if (refusal) throw refusal;
}

/** Answers to a batch that was not understood, or is too large: one record may be to blame for all. */
const unfit: ReadonlySet<number> = new Set([400, 413, 422]);

/**
 * In the order in which they were made. What is refused stays, with the reason; a batch that is refused as one goes in
 * smaller ones, down to the record that the server does not take.
 */
async function sendOutbox(): Promise<void> {
  let most = largestBatch;
  for (;;) {
    const waiting = outbox.peek().filter(({ refused }) => refused === null);
    if (waiting.length === 0) return;
    const [{ agency, project }] = waiting;
    const end = waiting.findIndex((one) => one.agency !== agency || one.project !== project);
    const batch = waiting.slice(0, Math.min(most, end < 0 ? waiting.length : end));
    try {
      const records = batch.map(({ record }) => record);
      await keepReceipt(batch, (await sendRecords(agency, project, records)).items);
    } catch (error) {
      if (!(error instanceof ApiError && unfit.has(error.status))) throw error;
      if (batch.length === 1)
        await put('outbox', { ...batch[0], refused: error.fault.fields[0] ?? error.message });
      most = Math.ceil(batch.length / 2);
    }
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
  if (came.length === 0) return;
  await put('nights', withRecords(open, came, came.at(-1)!.seq));
  if (mayChangeCard(came, open)) isNightWanted = true;
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

/** Cards, plans and the list itself as the office has them now. A refusal is an answer, and holds nothing else up. */
async function fetchNight(): Promise<ApiError | null> {
  await readAgain();
  const open = night.peek();
  if (!open) return null;
  const { key, agency, bundle, tag } = open;
  const which = { agency, project: bundle.project.id, night: bundle.night, crew: bundle.crew };
  isNightWanted = false;
  try {
    const came = await crewNight(which, tag ?? null);
    if (came) await keepNight({ key, agency, ...came });
    return null;
  } catch (error) {
    isNightWanted = true;
    if (error instanceof ApiError && error.status !== 0) return error;
    throw error;
  }
}

/** Only what concerns the night is asked for. */
function heed(notice: RecordsCame | ProjectRevision): void {
  const ask = askFor(notice, night.peek());
  if (ask?.isNight) sendSoon();
  else if (ask) exchangeSoon();
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
    stop = path === '' ? () => {} : watch(path, ['record', 'revision'], heed);
  });
  sendSoon();
}
