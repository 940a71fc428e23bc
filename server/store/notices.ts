import type { Kysely } from 'kysely';
import { sql } from 'kysely';
import type { AnyKept } from '#core/field/facts.ts';
import type { RecordsCame } from '#shared/field-record.ts';
import type { JobProgress, ProjectRevision } from '#shared/job.ts';
import type { ImportProgress } from '#shared/staged-import.ts';
import type { Database } from './database.ts';
import type { Tables } from './tables.ts';

const channel = 'rimplane_notices';

/** What one server tells all that share the database. */
export type Notice =
  | ({ kind: 'job'; agencyId: string } & JobProgress)
  | ({ kind: 'project'; agencyId: string } & ProjectRevision)
  | ({ kind: 'import'; agencyId: string } & ImportProgress)
  | ({ kind: 'record'; agencyId: string } & RecordsCame);

/** Sent when the transaction commits, and not at all when it does not. */
export async function notify(db: Kysely<Tables>, notice: Notice): Promise<void> {
  await sql`select pg_notify(${channel}, ${JSON.stringify(notice)})`.execute(db);
}

/** `byRecords`: nothing changed but what records that just came in say. */
export async function notifyProject(
  db: Kysely<Tables>,
  agencyId: string,
  projectId: string,
  { byRecords = false }: { byRecords?: boolean } = {},
): Promise<void> {
  const row = await db
    .selectFrom('projects')
    .select(['input_revision', 'plan_revision'])
    .where('agency_id', '=', agencyId)
    .where('project_id', '=', projectId)
    .executeTakeFirst();
  if (!row) return;
  const { input_revision: inputRevision, plan_revision: planRevision } = row;
  const revision = { projectId, inputRevision, planRevision, ...(byRecords && { byRecords }) };
  await notify(db, { kind: 'project', agencyId, ...revision });
}

/** PostgreSQL carries less than 8000 bytes a notice. */
const mostNoticeBytes = 7000;
const mostCoversNamed = 200;

/** Says that these records came in; where their covers are too many to be named, that some did. */
export async function notifyRecords(
  db: Kysely<Tables>,
  { agencyId, projectId }: { agencyId: string; projectId: string },
  records: readonly AnyKept[],
): Promise<void> {
  const named = [...new Set(records.map(({ structureId }) => structureId))];
  const isShort =
    named.length <= mostCoversNamed && Buffer.byteLength(JSON.stringify(named)) < mostNoticeBytes;
  const structureIds = isShort ? named : [];
  await notify(db, { kind: 'record', agencyId, projectId, lastSeq: records.at(-1)!.seq, structureIds });
}

type Listener = (notice: Notice) => void;

/** The notices of one database, on one connection for all who listen. */
export interface NoticeBoard {
  /**
   * Returns the function that ends it. `lookAgain` is called when notices may have been missed: the connection was lost and
   * is back.
   */
  subscribe(listener: Listener, lookAgain: () => void): () => void;
  close(): Promise<void>;
}

/** postgres.js opens the connection anew when it is lost; what was said meanwhile is lost, so readers look again. */
export async function openNoticeBoard(database: Database, name?: string): Promise<NoticeBoard> {
  const listeners = new Map<Listener, () => void>();
  const client = database.connect(1, name);
  let isFirst = true;
  await client.listen(
    channel,
    (payload) => {
      const notice = JSON.parse(payload) as Notice;
      for (const listener of listeners.keys()) listener(notice);
    },
    () => {
      if (!isFirst) for (const lookAgain of listeners.values()) lookAgain();
      isFirst = false;
    },
  );
  return {
    subscribe: (listener, lookAgain) => {
      listeners.set(listener, lookAgain);
      return () => listeners.delete(listener);
    },
    close: async () => {
      listeners.clear();
      await client.end({ timeout: 5 });
    },
  };
}
