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

/** Does the work in one transaction on one connection; whatever it throws undoes all of it. */
export async function inTransaction<Result>(
  database: Database,
  work: (transaction: Transaction) => Promise<Result>,
): Promise<Result> {
  const connection = await database.sql.reserve();
  try {
    await connection.unsafe('begin');
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
