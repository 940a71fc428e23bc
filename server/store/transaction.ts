import type { Writable } from 'node:stream';
import { Kysely } from 'kysely';
import { PostgresJSDialect } from 'kysely-postgres-js';
import type { Database, Sql } from './database.ts';
import type { Tables } from './tables.ts';

type Connection = Awaited<ReturnType<Sql['reserve']>>;

/** One transaction, for statements and for COPY alike. */
export interface Transaction {
  db: Kysely<Tables>;
  sql: Connection;
}

/** Reading as of one moment: the transaction's own, or that which another one gave out by `exportSnapshot`. */
export type Moment = 'own' | { snapshot: string };

/**
 * Does the work in one transaction on one connection; whatever it throws undoes all of it. `moment`: reads everything as
 * of that, and writes nothing.
 */
export async function inTransaction<Result>(
  database: Database,
  work: (transaction: Transaction) => Promise<Result>,
  moment?: Moment,
): Promise<Result> {
  const connection = await database.sql.reserve();
  try {
    await connection.unsafe(moment ? 'begin isolation level repeatable read read only' : 'begin');
    if (typeof moment === 'object') {
      // Snapshots have names of digits and hyphens; a parameter cannot stand there.
      await connection.unsafe(`set transaction snapshot ${literal(moment.snapshot)}`);
    }
    const result = await work({ db: kyselyOn(connection), sql: connection });
    await connection.unsafe('commit');
    return result;
  } catch (error) {
    await connection.unsafe('rollback').catch(() => {});
    throw error;
  } finally {
    connection.release();
  }
}

/** The moment that a transaction reads at, for others to read at while it goes on. */
export async function exportSnapshot({ sql }: Transaction): Promise<string> {
  const [row] = await sql<[{ name: string }]>`select pg_export_snapshot() as name`;
  return row.name;
}

/** Text as a literal of SQL, whatever is in it. */
export function literal(text: string): string {
  return `'${text.replaceAll("'", "''")}'`;
}

/** Kysely on a connection that stays reserved whatever Kysely releases. */
function kyselyOn(connection: Connection): Kysely<Tables> {
  const kept = { unsafe: connection.unsafe.bind(connection), release: () => {} };
  const pool = Object.assign(() => {}, { reserve: async () => kept, end: async () => {} });
  return new Kysely<Tables>({ dialect: new PostgresJSDialect({ postgres: pool as never }) });
}

/**
 * Sends rows by COPY and waits until the database has taken them all. The driver hears nothing of a COPY
 * that fails after its last byte, so the next statement asks.
 */
export async function copyIn(
  sql: Connection,
  statement: string,
  chunks: AsyncIterable<Buffer>,
): Promise<void> {
  const stream = await sql.unsafe(statement).writable();
  const sent = Promise.withResolvers<void>();
  const final = stream._final.bind(stream);
  stream._final = (done) => {
    final(done);
    sent.resolve();
  };
  stream.once('error', sent.reject);
  sent.promise.catch(() => {});
  let flushed = Promise.resolve();
  try {
    for await (const chunk of chunks) {
      await flushed;
      if (stream.errored) break;
      flushed = written(stream, chunk);
      flushed.catch(() => {});
    }
    await flushed;
  } catch (error) {
    stream.destroy(error as Error);
    throw error;
  }
  stream.end();
  await sent.promise;
  await sql.unsafe('select 1');
}

/** The bytes are copied at once where nothing else is on its way, so that the caller may write over them. */
function written(stream: Writable, chunk: Buffer): Promise<void> {
  return new Promise((resolve, reject) => {
    stream.write(chunk, (error) => (error ? reject(error) : resolve()));
  });
}
