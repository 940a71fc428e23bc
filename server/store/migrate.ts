import { readdir } from 'node:fs/promises';
import { type Migration, Migrator } from 'kysely/migration';
import type { Database } from './database.ts';

const folder = new URL('../../migrations/', import.meta.url);

/** Brings the schema up to date. Kysely holds a lock, so that two servers starting together do it once. */
export async function migrate(database: Database): Promise<string[]> {
  const { error, results } = await migratorOf(database).migrateToLatest();
  if (error) throw new Error('The database could not be brought up to date', { cause: error });
  return (results ?? []).map((result) => result.migrationName);
}

/** Whether every migration that this server knows has been done. */
export async function isMigrated(database: Database): Promise<boolean> {
  const known = await migratorOf(database).getMigrations();
  return known.every(({ executedAt }) => executedAt !== undefined);
}

function migratorOf({ kysely: db }: Database): Migrator {
  return new Migrator({ db, provider: { getMigrations: readMigrations } });
}

async function readMigrations(): Promise<Record<string, Migration>> {
  const names = (await readdir(folder)).filter((name) => /^\d{4}-.*\.ts$/.test(name)).sort();
  const migrations: Record<string, Migration> = {};
  for (const name of names) {
    migrations[name.replace(/\.ts$/, '')] = (await import(new URL(name, folder).href)) as Migration;
  }
  return migrations;
}
