import { once } from 'node:events';
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
 * Sends rows in COPY's text form and waits until the database has taken them all. The driver hears nothing of a COPY
 * that fails after its last byte, so the next statement asks.
 */
export async function copyIn(
  sql: Connection,
  statement: string,
  chunks: AsyncIterable<string> | Iterable<string>,
): Promise<void> {
  const stream = await sql.unsafe(statement).writable();
  const sent = Promise.withResolvers<void>();
  const final = stream._final.bind(stream);
  stream._final = (done) => {
    final(done);
    sent.resolve();
  };
  stream.once('error', sent.reject);
  try {
    for await (const chunk of chunks) {
      if (stream.errored) break;
      if (!stream.write(chunk)) await drained(stream);
    }
  } catch (error) {
    sent.promise.catch(() => {});
    stream.destroy(error as Error);
    throw error;
  }
  stream.end();
  await sent.promise;
  await sql.unsafe('select 1');
}

async function drained(stream: Writable): Promise<void> {
  if (stream.errored) return;
  // Rejects with the stream's own fault.
  await once(stream, 'drain');
}

const escapes: Readonly<Record<string, string>> = {
  '\\': '\\\\',
  '\t': '\\t',
  '\n': '\\n',
  '\r': '\\r',
  '\0': '',
};
const special = /[\\\t\n\r\0]/;
const everySpecial = /[\\\t\n\r\0]/g;

/** A text as COPY's text form wants it. PostgreSQL keeps no zero characters in texts. */
export function escapeCopy(text: string): string {
  return special.test(text) ? text.replace(everySpecial, (character) => escapes[character]) : text;
}
