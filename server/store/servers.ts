import type { Database } from './database.ts';

/**
 * Servers on one database know of each other by the name of the connection that listens for notices: it is there as long
 * as its server is, and needs no table that a killed one would leave wrong.
 */
const prefix = 'rimplane server ';

/** Name of the connection of a server that keeps uploads in the folder of this mark. */
export const serverName = (folderMark: string): string => `${prefix}${folderMark}`;

/** Marks of the folders that the servers on this database keep uploads in, one a server, this one's too. */
export async function listServerFolders({ sql }: Database): Promise<string[]> {
  const rows = await sql<{ name: string }[]>`
    select application_name as name from pg_stat_activity
    where datname = current_database() and starts_with(application_name, ${prefix})`;
  return rows.map(({ name }) => name.slice(prefix.length));
}

/** Connections that the database leaves to others than superusers, and how many servers share it by now. */
export async function findConnectionRoom(database: Database): Promise<{ allowed: number; servers: number }> {
  // reserved_connections came with PostgreSQL 16.
  const [{ allowed }] = await database.sql<[{ allowed: number }]>`
    select current_setting('max_connections')::integer
      - current_setting('superuser_reserved_connections')::integer
      - coalesce(current_setting('reserved_connections', true), '0')::integer as allowed`;
  return { allowed, servers: Math.max(1, (await listServerFolders(database)).length) };
}
