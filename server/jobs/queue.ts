import type { Kysely } from 'kysely';
import { type Db, fromKysely, PgBoss } from 'pg-boss';
import { type Database, databaseErrorCode, type Sql } from '../store/database.ts';
import type { Tables } from '../store/tables.ts';

/** `jobId`: a row of the jobs. */
export interface PlanRequest {
  agencyId: string;
  projectId: string;
  jobId: string;
}

/** Reading or storing of an import; `runId` tells whether it is still wanted. */
export interface ImportRequest {
  agencyId: string;
  importId: string;
  runId: string;
  task: 'read' | 'store';
}

export type DeletionRequest = PlanRequest;

/** What each kind of job does. Called at least once for every job; each must bear being called again. */
export interface JobRunners {
  plan: (request: PlanRequest) => Promise<void>;
  import: (request: ImportRequest) => Promise<void>;
  deletion: (request: DeletionRequest) => Promise<void>;
}

export type JobFate = 'pending' | 'ended' | 'unknown';

/** The queue of one server process. */
export interface JobQueue {
  /** Puts a plan job in the queue, as part of the transaction `db` where that is one. */
  sendPlan(db: Kysely<Tables>, request: PlanRequest): Promise<void>;
  /** Puts a job that a killed server left unfinished in the queue again. */
  resendPlan(db: Kysely<Tables>, request: PlanRequest): Promise<void>;
  /** Puts the reading or storing of an import in the queue, as part of the transaction `db` where that is one. */
  sendImport(db: Kysely<Tables>, request: ImportRequest): Promise<void>;
  /** Puts the deletion of a project in the queue, as part of the transaction `db` where that is one. */
  sendDeletion(db: Kysely<Tables>, request: DeletionRequest): Promise<void>;
  /** Puts a deletion in the queue again that a killed server left unfinished, or that failed. */
  resendDeletion(db: Kysely<Tables>, request: DeletionRequest): Promise<void>;
  /** Whether the queue still means to do a job, gave it up after too many tries, or knows nothing of it. */
  fateOf(kind: keyof JobRunners, id: string): Promise<JobFate>;
  /** Whether it works and its tables answer. */
  isOpen(): Promise<boolean>;
  /** Lets the jobs in hand come to a stop, then closes the queue's connection. */
  stop(): Promise<void>;
}

const planQueue = 'plan';
const importQueue = 'import';
const deletionQueue = 'deletion';
/** After so long without a sign of life a job is taken from its server and given to another. */
export const usualHeartbeatSeconds = 30;
/** Connections of the queue: for its statements, and one that listens. */
export const queueConnections = { statements: 2, listening: 1 };
const stopLimitMs = 10_000;
/**
 * A job that is queued while the worker has another one in hand may wake nobody, and would then lie until the next
 * look: half a minute as pg-boss has it, which is long for somebody who answered two questions in a row.
 */
const workOptions = { batchSize: 1, pollingIntervalSeconds: 0.5, notifyPollingIntervalSeconds: 0.5 };
const queueOptions = (heartbeatSeconds: number) => ({
  retryLimit: 3,
  retryDelay: 1,
  expireInSeconds: 3600,
  heartbeatSeconds,
  deleteAfterSeconds: 7 * 86_400,
  notify: true,
});

/** Starts working. */
export async function openJobQueue(
  database: Database,
  runners: JobRunners,
  report: (error: unknown) => void,
  heartbeatSeconds = usualHeartbeatSeconds,
): Promise<JobQueue> {
  const client = database.connect(queueConnections.statements);
  // How often a server looks for jobs of dead ones: a third of the time after which they count as dead.
  const lookSeconds = Math.ceil(heartbeatSeconds / 3);
  const boss = new PgBoss({
    db: overPostgres(client),
    schema: 'pgboss',
    schedule: false,
    useListenNotify: true,
    superviseIntervalSeconds: lookSeconds,
    monitorIntervalSeconds: lookSeconds,
  });
  boss.on('error', report);
  await boss.start();
  for (const name of [planQueue, importQueue, deletionQueue]) {
    await boss.createQueue(name, queueOptions(heartbeatSeconds));
    await boss.updateQueue(name, queueOptions(heartbeatSeconds));
  }
  await boss.work<PlanRequest>(planQueue, workOptions, async (jobs) => {
    for (const { data } of jobs) await runners.plan(data);
  });
  await boss.work<ImportRequest>(importQueue, workOptions, async (jobs) => {
    for (const { data } of jobs) await runners.import(data);
  });
  await boss.work<DeletionRequest>(deletionQueue, workOptions, async (jobs) => {
    for (const { data } of jobs) await runners.deletion(data);
  });
  let isStopping = false;
  return {
    sendPlan: (db, request) => send(boss, db, planQueue, request),
    sendImport: async (db, request) => {
      await boss.send(importQueue, request, { id: request.runId, db: fromKysely(db) });
    },
    resendPlan: async (db, request) => {
      await boss.deleteJob(planQueue, request.jobId);
      await send(boss, db, planQueue, request);
    },
    sendDeletion: (db, request) => send(boss, db, deletionQueue, request),
    resendDeletion: async (db, request) => {
      await boss.deleteJob(deletionQueue, request.jobId);
      await send(boss, db, deletionQueue, request);
    },
    fateOf: async (kind, id) => {
      const [job] = await boss.findJobs(kind, { id });
      if (!job) return 'unknown';
      return ['created', 'retry', 'active'].includes(job.state) ? 'pending' : 'ended';
    },
    isOpen: async () => {
      if (isStopping) return false;
      return (await boss.getQueue(planQueue).catch(() => null)) !== null;
    },
    stop: async () => {
      isStopping = true;
      await boss.stop({ graceful: true, timeout: stopLimitMs });
      await client.end({ timeout: 5 });
    },
  };
}

async function send(boss: PgBoss, db: Kysely<Tables>, queue: string, request: PlanRequest): Promise<void> {
  await boss.send(queue, request, { id: request.jobId, db: fromKysely(db) });
}

/** Did the database refuse a statement and live on? Of one that goes away nothing more can be asked. */
function isRefusal(error: unknown): boolean {
  const code = databaseErrorCode(error);
  const operatorIntervention = '57';
  return code !== null && !code.startsWith(operatorIntervention);
}

/** Statements without parameters may be several in one text, which only the simple protocol takes. */
function overPostgres(client: Sql): Db {
  return {
    executeSql: async (text, values) => {
      const connection = await client.reserve();
      try {
        const result: unknown[] = await connection.unsafe(text, (values ?? []) as never[]);
        // Several statements give a list of results; the queue wants the rows of them all.
        return { rows: Array.isArray(result[0]) ? result.flat() : [...result] };
      } catch (error) {
        // Some texts begin a transaction; one that fails (two servers make the queue's tables at once) leaves it open.
        if (isRefusal(error)) await connection.unsafe('rollback').catch(() => {});
        throw error;
      } finally {
        connection.release();
      }
    },
    listen: async (channel, onNotification, onReconnect) => {
      const { unlisten } = await client.listen(channel, onNotification, onReconnect);
      return { close: unlisten };
    },
  };
}
