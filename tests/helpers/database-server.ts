import { randomBytes } from 'node:crypto';
import { chmodSync, mkdtempSync, rmSync } from 'node:fs';
import { request } from 'node:http';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { TestProject } from 'vitest/node';
import { startEmbeddedPostgres } from '../../server/embedded/cluster.ts';
import { openJobQueue } from '../../server/jobs/queue.ts';
import { type ConnectionTarget, openDatabase } from '../../server/store/database.ts';
import { migrate } from '../../server/store/migrate.ts';
import { inDatabase } from './target.ts';

declare module 'vitest' {
  interface ProvidedContext {
    databaseServer: ConnectionTarget;
    templateDatabase: string;
  }
}

/**
 * Once for a whole run: a PostgreSQL and in it a migrated template, from which every test file gets a database of
 * its own. TEST_DATABASE_URL names a server to use; else a container where a Docker engine answers; else the
 * embedded one.
 */
export default async function setup(project: TestProject): Promise<() => Promise<void>> {
  const { target, stop } = await findServer();
  const template = `rimplane_template_${randomBytes(4).toString('hex')}`;
  const server = openDatabase(target);
  await server.sql.unsafe(`create database ${template}`);
  const database = openDatabase(inDatabase(target, template));
  await migrate(database);
  const queue = await openJobQueue(
    database,
    { plan: async () => {}, import: async () => {}, deletion: async () => {} },
    (error) => console.error(error),
  );
  await queue.stop();
  await database.close();
  project.provide('databaseServer', target);
  project.provide('templateDatabase', template);
  return async () => {
    await server.sql.unsafe(`drop database ${template} with (force)`);
    await server.close();
    await stop();
  };
}

interface Server {
  target: ConnectionTarget;
  stop: () => Promise<void>;
}

async function findServer(): Promise<Server> {
  const url = process.env.TEST_DATABASE_URL;
  if (url) return { target: { url }, stop: async () => {} };
  if (await dockerAnswers()) {
    const container = await startContainer().catch((error: Error) => {
      console.warn(`No PostgreSQL container (${error.message}); the embedded PostgreSQL is used`);
      return null;
    });
    if (container) return container;
  }
  const folder = mkdtempSync(join(tmpdir(), 'rimplane-pg-'));
  chmodSync(folder, 0o755);
  const postgres = await startEmbeddedPostgres(folder);
  // A run that is broken off ends without its teardown, and PostgreSQL stands in a process group of its own.
  const breakOff = () => process.kill(postgres.pid, 'SIGINT');
  process.once('exit', breakOff);
  return {
    target: postgres.target,
    stop: async () => {
      process.off('exit', breakOff);
      await postgres.stop();
      rmSync(folder, { recursive: true, force: true });
    },
  };
}

async function startContainer(): Promise<Server> {
  const { GenericContainer, Wait } = await import('testcontainers');
  const container = await new GenericContainer('postgres:17')
    .withEnvironment({ POSTGRES_PASSWORD: 'test' })
    .withExposedPorts(5432)
    .withWaitStrategy(Wait.forLogMessage(/ready to accept connections/, 2))
    .start();
  const address = `${container.getHost()}:${container.getMappedPort(5432)}`;
  return {
    target: { url: `postgres://postgres:test@${address}/postgres` },
    stop: async () => {
      await container.stop();
    },
  };
}

/** Whether a Docker engine answers on the usual socket. */
function dockerAnswers(): Promise<boolean> {
  return new Promise((resolve) => {
    const ping = request(
      { socketPath: '/var/run/docker.sock', path: '/_ping', timeout: 2000 },
      (response) => {
        response.resume();
        resolve(response.statusCode === 200);
      },
    );
    ping.once('timeout', () => ping.destroy());
    ping.once('error', () => resolve(false));
    ping.end();
  });
}
