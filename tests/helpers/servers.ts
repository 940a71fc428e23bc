import { randomBytes } from 'node:crypto';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { inject } from 'vitest';
import { type Database, openDatabase } from '../../server/store/database.ts';
import { type ServerProcess, startServerProcess } from './server-process.ts';
import { inDatabase } from './target.ts';

/** Real servers that share one database and one folder of uploads. */
export interface Servers {
  database: Database;
  dataFolder: string;
  /** Starts one more; it need not listen yet. */
  start(env?: Record<string, string>): ServerProcess;
  kill(server: ServerProcess): Promise<void>;
  stopAll(): Promise<void>;
  close(): Promise<void>;
}

/** Least that the queue takes: what a dead server had in hand goes to another one after 10 to 14 s. */
const heartbeat = { JOB_HEARTBEAT_SECONDS: '10' };

/** `isEmpty`: a database without any table, else one migrated already. */
export async function openServers({ isEmpty = false } = {}): Promise<Servers> {
  const at = inject('databaseServer');
  const name = `rimplane_many_${randomBytes(6).toString('hex')}`;
  const owner = openDatabase(at);
  const template = isEmpty ? '' : `template ${inject('templateDatabase')}`;
  await owner.sql.unsafe(`create database ${name} ${template}`);
  const target = inDatabase(at, name);
  // A URL has no form for a socket's folder that the driver takes: the usual variables of PostgreSQL have.
  const place: Record<string, string> =
    'url' in target
      ? { DATABASE_URL: target.url }
      : {
          DATABASE_URL: `postgres:///${name}`,
          ...{ PGHOST: target.socketFolder, PGPORT: String(target.port), PGUSER: target.user },
        };
  const folder = mkdtempSync(join(tmpdir(), 'rimplane-many-'));
  const dataFolder = join(folder, 'shared');
  const database = openDatabase(target, 4);
  const running = new Set<ServerProcess>();
  const stopAll = async (): Promise<void> => {
    for (const { child } of running) {
      // One that a test froze hears nothing else.
      child.kill('SIGCONT');
      child.kill('SIGINT');
    }
    await Promise.all([...running].map(({ ended }) => ended));
    running.clear();
  };
  return {
    database,
    dataFolder,
    start: (env = {}) => {
      const server = startServerProcess({
        ...{ ...place, DATA_DIR: dataFolder, DEMO: 'off', DATABASE_CONNECTIONS: '4', ...heartbeat },
        ...env,
      });
      running.add(server);
      return server;
    },
    kill: async (server) => {
      server.child.kill('SIGKILL');
      await server.ended;
      running.delete(server);
    },
    stopAll,
    close: async () => {
      await stopAll();
      await database.close();
      await owner.sql.unsafe(`drop database ${name} with (force)`);
      await owner.close();
      rmSync(folder, { recursive: true, force: true });
    },
  };
}

export async function call<Answer>(
  address: string,
  method: string,
  path: string,
  body?: object,
): Promise<Answer> {
  const answer = await fetch(`${address}${path}`, {
    method,
    ...(body ? { headers: { 'content-type': 'application/json' }, body: JSON.stringify(body) } : {}),
  });
  const text = await answer.text();
  if (!answer.ok) throw new Error(`${method} ${path}: ${answer.status} ${text}`);
  return JSON.parse(text) as Answer;
}

/** Asks until it is so. @throws Error after `seconds` */
export async function until<Found>(
  ask: () => Promise<Found>,
  isSo: (found: Found) => boolean,
  seconds = 60,
): Promise<Found> {
  const end = performance.now() + 1000 * seconds;
  for (;;) {
    const found = await ask();
    if (isSo(found)) return found;
    if (performance.now() > end)
      throw new Error(`It never came to that in ${seconds} s: ${JSON.stringify(found)}`);
    await new Promise((resolve) => setTimeout(resolve, 20));
  }
}
