import { setPriority } from 'node:os';
import { listBackends } from '../../store/backends.ts';
import type { Database } from '../../store/database.ts';

/** Niceness of whatever plans, beside 0 of what answers requests. */
export const planPriority = 10;

/**
 * Lets whoever waits for an answer go before the backends of a pool's connections, all of which have to be free: what the
 * database does for a plan is as much as what is done here. Where another user may not say so, it goes on as it is.
 */
export async function giveWay(database: Database, connections: number): Promise<void> {
  for (const pid of await listBackends(database, connections)) {
    try {
      setPriority(pid, planPriority);
    } catch {}
  }
}
