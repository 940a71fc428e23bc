import { readdir } from 'node:fs/promises';
import { type Migration, Migrator } from 'kysely/migration';
import type { Database } from './database.ts';

const folder = new URL('../../migrations/', import.meta.url);

/** Brings the schema up to date. Kysely holds a lock, so that two servers starting together do it once. */
export async function migrate(database: Database): Promise<string[]> {
  const migrator = new Migrator({
    db: database.kysely,
    provider: { getMigrations: readMigrations },
  });
  const { error, results } = await migrator.migrateToLatest();
  if (error) throw new Error('The database could not be brought up to date', { cause: error });
  return (results ?? []).map((result) => result.migrationName);
}

async function readMigrations(): Promise<Record<string, Migration>> {
  const names = (await readdir(folder)).filter((name) => /^\d{4}-.*\.ts$/.test(name)).sort();
  const migrations: Record<string, Migration> = {};
  for (const name of names) {
    migrations[name.replace(/\.ts$/, '')] = (await import(new URL(name, folder).href)) as Migration;
  }
  return migrations;
}
