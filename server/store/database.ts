import { Kysely } from 'kysely';
import { PostgresJSDialect } from 'kysely-postgres-js';
import postgres from 'postgres';
import type { Tables } from './tables.ts';

/** Where a PostgreSQL listens: a URL, or the folder of a unix socket. */
export type ConnectionTarget =
  | { url: string }
  | {
      socketFolder: string;
      port: number;
      database: string;
      user: string;
    };

export type Sql = postgres.Sql<{ bigint: number }>;

export interface Database {
  kysely: Kysely<Tables>;
  /** For COPY and LISTEN, which Kysely has no form for. Only store/ uses it. */
  sql: Sql;
  /** A separate small client, e.g. for the job queue. The caller ends it. */
  connect(max: number): Sql;
  close(): Promise<void>;
}

const poolSize = 10;

export function openDatabase(target: ConnectionTarget): Database {
  const sql = connect(target, poolSize);
  const kysely = new Kysely<Tables>({ dialect: new PostgresJSDialect({ postgres: sql }) });
  return {
    kysely,
    sql,
    connect: (max) => connect(target, max),
    close: async () => {
      await kysely.destroy();
      await sql.end({ timeout: 5 });
    },
  };
}

function connect(target: ConnectionTarget, max: number): Sql {
  const options = {
    max,
    connect_timeout: 15,
    onnotice: () => {},
    connection: { application_name: 'rimplane' },
    // Counts and cells stay far below 2^53, so int8 can be a plain number.
    types: {
      bigint: { to: 20, from: [20], parse: Number, serialize: (value: number) => value.toString() },
    },
  };
  if ('url' in target) return postgres(target.url, options) as Sql;
  return postgres({
    ...options,
    host: target.socketFolder,
    port: target.port,
    database: target.database,
    username: target.user,
  }) as Sql;
}

/** PostgreSQL's error code of a failure, or null where it did not come from the database. */
export function databaseErrorCode(error: unknown): string | null {
  return error instanceof postgres.PostgresError ? error.code : null;
}
