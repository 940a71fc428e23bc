import { Kysely } from 'kysely';
import { PostgresJSDialect } from 'kysely-postgres-js';
import postgres from 'postgres';
import { connectCopySocket } from './copySocket.ts';
import { countInUse } from './in-use.ts';
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
  /** For threads, which open the database for themselves. */
  target: ConnectionTarget;
  /** A separate small client, e.g. for the job queue. The caller ends it. `name`: how the database lists its connections. */
  connect(max: number, name?: string): Sql;
  close(): Promise<void>;
}

/** Of a server that is told nothing else. */
export const usualPoolSize = 10;

/** A statement that takes longer does not keep a server from stopping. */
const mostClosingMs = 3000;

export function openDatabase(target: ConnectionTarget, connections = usualPoolSize): Database {
  const sql = connect(target, connections);
  const { pool, drain } = countInUse(sql);
  const kysely = new Kysely<Tables>({ dialect: new PostgresJSDialect({ postgres: pool }) });
  return {
    kysely,
    sql,
    target,
    connect: (max, name) => connect(target, max, name),
    close: async () => {
      const isIdle = await drain(mostClosingMs);
      await sql.end({ timeout: isIdle ? mostClosingMs / 1000 : 0 });
      await kysely.destroy();
    },
  };
}

function connect(target: ConnectionTarget, max: number, name = 'rimplane'): Sql {
  const options = {
    max,
    connect_timeout: 15,
    onnotice: () => {},
    connection: { application_name: name },
    types: {
      // Counts and cells stay far below 2^53, so int8 can be a plain number.
      bigint: { to: 20, from: [20], parse: Number, serialize: (value: number) => value.toString() },
      // A calendar day has no time zone: it stays the text YYYY-MM-DD.
      day: { to: 1082, from: [1082], parse: (value: string) => value, serialize: (value: string) => value },
      json: jsonType(114),
      jsonb: jsonType(3802),
    },
  };
  if ('url' in target) return postgres(target.url, options) as unknown as Sql;
  return postgres({
    ...options,
    host: target.socketFolder,
    port: target.port,
    database: target.database,
    username: target.user,
    socket: () => connectCopySocket(`${target.socketFolder}/.s.PGSQL.${target.port}`),
  } as postgres.Options<typeof options.types>) as unknown as Sql;
}

/** Text is JSON already (the job queue writes it so); everything else becomes JSON here, once. */
function jsonType(oid: number) {
  return {
    to: oid,
    from: [oid],
    parse: (value: string) => JSON.parse(value) as unknown,
    serialize: (value: unknown) => (typeof value === 'string' ? value : JSON.stringify(value)),
  };
}

/** PostgreSQL's error code of a failure, or null where it did not come from the database. */
export function databaseErrorCode(error: unknown): string | null {
  return error instanceof postgres.PostgresError ? error.code : null;
}

export async function answersQueries({ sql }: Database): Promise<boolean> {
  try {
    await sql`select 1`;
    return true;
  } catch {
    return false;
  }
}

const oldestServer = 15;

/** Throws where the database does not answer, or is older than the SQL that is used here. */
export async function checkServerVersion({ sql }: Database): Promise<void> {
  let major: number;
  try {
    const [row] = await sql<[{ number: number }]>`
      select current_setting('server_version_num')::integer as number`;
    major = Math.floor(row.number / 10_000);
  } catch (cause) {
    throw new Error('DATABASE_URL leads to no database', { cause });
  }
  if (major < oldestServer) {
    throw new Error(`DATABASE_URL leads to PostgreSQL ${major}; ${oldestServer} or newer is needed`);
  }
}
