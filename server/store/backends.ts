import type { Database } from './database.ts';

/**
 * Process ids of the backends behind so many connections of a pool, all of which have to be free; none where the
 * database is not our own, on this machine.
 */
export async function listBackends({ sql, target }: Database, connections: number): Promise<number[]> {
  if ('url' in target) return [];
  const reserved = await Promise.all(Array.from({ length: connections }, () => sql.reserve()));
  try {
    const rows = await Promise.all(
      reserved.map((connection) => connection<[{ pid: number }]>`select pg_backend_pid() as pid`),
    );
    return rows.map(([{ pid }]) => pid);
  } finally {
    for (const connection of reserved) connection.release();
  }
}
