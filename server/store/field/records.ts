import { type Kysely, type Selectable, sql } from 'kysely';
import type { AnyKept, AnyMade } from '#core/field/facts.ts';
import { cutPage, inChunks } from '../list.ts';
import type { Tables } from '../tables.ts';
import type { FieldRecordsTable } from './tables.ts';

interface ProjectKey {
  agencyId: string;
  projectId: string;
}

/**
 * The last `seq` that a record of the project was given; null where there is no such project. The project's row stays
 * locked until the transaction ends, so that records become visible in the order of their `seq`.
 */
export async function lockLastSeq(
  db: Kysely<Tables>,
  { agencyId, projectId }: ProjectKey,
): Promise<number | null> {
  const row = await db
    .selectFrom('projects')
    .select('field_seq')
    .where('agency_id', '=', agencyId)
    .where('project_id', '=', projectId)
    .forNoKeyUpdate()
    .executeTakeFirst();
  return row?.field_seq ?? null;
}

export async function findLastSeq(db: Kysely<Tables>, { agencyId, projectId }: ProjectKey): Promise<number> {
  const row = await db
    .selectFrom('projects')
    .select('field_seq')
    .where('agency_id', '=', agencyId)
    .where('project_id', '=', projectId)
    .executeTakeFirst();
  return row?.field_seq ?? 0;
}

/** Records of a project of these ids, by id. */
export async function findRecords(
  db: Kysely<Tables>,
  { agencyId, projectId }: ProjectKey,
  ids: readonly string[],
): Promise<Map<string, AnyKept>> {
  const rows = await db
    .selectFrom('field_records')
    .selectAll()
    .where('agency_id', '=', agencyId)
    .where('project_id', '=', projectId)
    .where(sql<boolean>`record_id = any(${ids as string[]}::uuid[])`)
    .execute();
  return new Map(rows.map((row) => [row.record_id, toRecord(row)]));
}

/**
 * Of these ids, those that something may be recorded of: covers of the project, and what the register has or a record
 * names already, although it is no cover of the project any more.
 */
export async function findRecordable(
  db: Kysely<Tables>,
  { agencyId, projectId }: ProjectKey,
  ids: readonly string[],
): Promise<Set<string>> {
  const { rows } = await sql<{ id: string }>`
    select asked.id from unnest(${ids as string[]}::text[]) as asked (id)
    where exists (select from structures where agency_id = ${agencyId} and structure_id = asked.id)
      or exists (select from field_records where agency_id = ${agencyId} and project_id = ${projectId}
        and structure_id = asked.id)`.execute(db);
  return new Set(rows.map(({ id }) => id));
}

/** Adds records, whose `seq` follow the project's last one. The caller holds the lock of `lockLastSeq`. */
export async function insertRecords(
  db: Kysely<Tables>,
  { agencyId, projectId }: ProjectKey,
  records: readonly AnyKept[],
): Promise<void> {
  if (records.length === 0) return;
  for (const chunk of inChunks(records)) {
    const rows = chunk.map((record) => ({
      agency_id: agencyId,
      project_id: projectId,
      record_id: record.id,
      structure_id: record.structureId,
      seq: record.seq,
      kind: record.kind,
      facts: record.facts as unknown as Record<string, unknown>,
      made_by: record.by,
      device: record.device,
      device_time: new Date(record.deviceTime),
      received_at: new Date(record.receivedAt),
      seen: record.seen,
    }));
    await db.insertInto('field_records').values(rows).execute();
  }
  await db
    .updateTable('projects')
    .set({ field_seq: records.at(-1)!.seq })
    .where('agency_id', '=', agencyId)
    .where('project_id', '=', projectId)
    .execute();
}

/** Records after a `seq`, in the order of `seq`; `last`: the one that the page ended at, if more follow. */
export async function listRecords(
  db: Kysely<Tables>,
  { agencyId, projectId }: ProjectKey,
  { since, structure, limit }: { since: number; structure?: string; limit: number },
): Promise<{ items: AnyKept[]; last: number | null }> {
  let query = db
    .selectFrom('field_records')
    .selectAll()
    .where('agency_id', '=', agencyId)
    .where('project_id', '=', projectId)
    .where('seq', '>', since)
    .orderBy('seq')
    .limit(limit + 1);
  if (structure !== undefined) query = query.where('structure_id', '=', structure);
  const { rows, last } = cutPage(await query.execute(), limit);
  return { items: rows.map(toRecord), last: last?.seq ?? null };
}

/** All records of these covers, in the order of `seq`. */
export async function findRecordsOf(
  db: Kysely<Tables>,
  { agencyId, projectId }: ProjectKey,
  structureIds: readonly string[],
): Promise<AnyKept[]> {
  const rows = await db
    .selectFrom('field_records')
    .selectAll()
    .where('agency_id', '=', agencyId)
    .where('project_id', '=', projectId)
    .where(sql<boolean>`structure_id = any(${structureIds as string[]}::text[])`)
    .orderBy('seq')
    .execute();
  return rows.map(toRecord);
}

/** Whether two are one record: all that the device said is the same. */
export function isSame(kept: AnyKept, sent: AnyMade): boolean {
  const told = ({ structureId, kind, facts, by, device, deviceTime, seen }: AnyMade): string =>
    JSON.stringify([
      structureId,
      kind,
      inOrder(facts),
      by,
      device.toLowerCase(),
      new Date(deviceTime).getTime(),
      seen,
    ]);
  return told(kept) === told(sent);
}

/** The same value with the fields of its objects in one order. */
function inOrder(value: unknown): unknown {
  if (Array.isArray(value)) return value.map(inOrder);
  if (typeof value !== 'object' || value === null) return value;
  const entries = Object.entries(value).sort(([a], [b]) => (a < b ? -1 : 1));
  return Object.fromEntries(entries.map(([name, field]) => [name, inOrder(field)]));
}

function toRecord(row: Selectable<FieldRecordsTable>): AnyKept {
  return {
    id: row.record_id,
    structureId: row.structure_id,
    kind: row.kind,
    facts: row.facts,
    by: row.made_by,
    device: row.device,
    deviceTime: row.device_time.toISOString(),
    seen: row.seen,
    seq: row.seq,
    receivedAt: row.received_at.toISOString(),
  } as unknown as AnyKept;
}
