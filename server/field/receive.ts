import type { Kysely } from 'kysely';
import type { AnyKept, AnyMade } from '#core/field/facts.ts';
import type { FieldRecordReceipt } from '#shared/field-record.ts';
import type { Database } from '../store/database.ts';
import { findRecordable, findRecords, insertRecords, isSame, lockLastSeq } from '../store/field/records.ts';
import { notifyRecords } from '../store/notices.ts';
import type { ProjectHead } from '../store/projects.ts';
import type { Tables } from '../store/tables.ts';
import { clockWarning, findFault } from './check.ts';
import { applyRecords } from './effects.ts';

type Receipt = FieldRecordReceipt['items'][number];

/**
 * Keeps a device's records in the order in which it made them, each at most once, and brings their covers to what they
 * say; all of it in one transaction. The answer stands for what is on the disk. null where the project went away.
 */
export async function receiveRecords(
  { kysely }: Database,
  project: ProjectHead,
  sent: readonly AnyMade[],
): Promise<FieldRecordReceipt | null> {
  const key = { agencyId: project.agencyId, projectId: project.id };
  return kysely.transaction().execute(async (db) => {
    const last = await lockLastSeq(db, key);
    if (last === null) return null;
    const { receipts, fresh } = await sort(db, project, { sent, last });
    await insertRecords(db, key, fresh);
    if (fresh.length > 0) {
      await notifyRecords(db, key, fresh);
      await applyRecords(db, project, fresh);
    }
    return { items: receipts };
  });
}

/** One answer for each record, and those that are new. */
async function sort(
  db: Kysely<Tables>,
  project: ProjectHead,
  { sent, last }: { sent: readonly AnyMade[]; last: number },
): Promise<{ receipts: Receipt[]; fresh: AnyKept[] }> {
  const key = { agencyId: project.agencyId, projectId: project.id };
  const known = await findRecords(
    db,
    key,
    sent.map(({ id }) => id),
  );
  const covers = await findRecordable(
    db,
    key,
    sent.map(({ structureId }) => structureId),
  );
  const fresh: AnyKept[] = [];
  const receivedAt = new Date();
  const receipts = sent.map((record): Receipt => {
    const id = record.id.toLowerCase();
    const before = known.get(id);
    if (before) {
      if (isSame(before, record)) return receiptOf(record, 'alreadyThere', before);
      return refusal(
        record,
        `There is another record ${id} already, of ${before.by}: this one was not kept.`,
      );
    }
    const fault = findFault(record);
    if (fault) return refusal(record, fault);
    if (!covers.has(record.structureId)) {
      const cover = `cover "${record.structureId}"`;
      return refusal(record, `There is no ${cover} in project "${project.id}", nor in the register.`);
    }
    const kept = {
      ...record,
      id,
      device: record.device.toLowerCase(),
      seq: last + fresh.length + 1,
      receivedAt: receivedAt.toISOString(),
    } as AnyKept;
    known.set(id, kept);
    fresh.push(kept);
    return { ...receiptOf(record, 'stored', kept), message: clockWarning(record.deviceTime, receivedAt) };
  });
  return { receipts, fresh };
}

function receiptOf({ id }: AnyMade, outcome: Receipt['outcome'], { seq, receivedAt }: AnyKept): Receipt {
  return { id, outcome, seq, receivedAt, message: null };
}

function refusal({ id }: AnyMade, message: string): Receipt {
  return { id, outcome: 'refused', seq: null, receivedAt: null, message };
}
