import { ConfigError } from './config.ts';
import { importConnections } from './jobs/importThread.ts';
import { mostPlanThreads } from './jobs/plan/make.ts';
import { planThreadConnections } from './jobs/plan/thread.ts';
import { queueConnections } from './jobs/queue.ts';
import type { Database } from './store/database.ts';
import { findConnectionRoom } from './store/servers.ts';

/** Connections beside the pool: notices, queue, the thread of one import and those of one plan. A server does one of each. */
export const connectionsBesidePool =
  1 +
  queueConnections.statements +
  queueConnections.listening +
  importConnections +
  mostPlanThreads * planThreadConnections;

/**
 * Holds what this server and the others may open at most against what the database allows. Gives a warning where all of
 * them together may come to more. @throws ConfigError where this one alone does.
 */
export async function checkConnections(database: Database, pool: number): Promise<string | null> {
  const { allowed, servers } = await findConnectionRoom(database);
  const each = pool + connectionsBesidePool;
  const sum = `${each} connections (DATABASE_CONNECTIONS ${pool}, and ${connectionsBesidePool} for jobs and notices)`;
  if (each > allowed) {
    throw new ConfigError(
      `One server may open ${sum}, but the database allows ${allowed}: lower DATABASE_CONNECTIONS or raise max_connections`,
    );
  }
  if (servers * each <= allowed) return null;
  return `${servers} servers may open ${each} connections each, but the database allows ${allowed} in all: lower DATABASE_CONNECTIONS or raise max_connections`;
}
