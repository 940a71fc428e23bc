import { randomBytes } from 'node:crypto';
import { inject } from 'vitest';
import { type Database, openDatabase } from '../../server/store/database.ts';
import { inDatabase } from './target.ts';

/** A migrated database of its own for a test file; `drop` closes and removes it. */
export async function createDatabase(): Promise<{ database: Database; drop: () => Promise<void> }> {
  const target = inject('databaseServer');
  const name = `rimplane_test_${randomBytes(6).toString('hex')}`;
  const server = openDatabase(target);
  await server.sql.unsafe(`create database ${name} template ${inject('templateDatabase')}`);
  const database = openDatabase(inDatabase(target, name));
  return {
    database,
    drop: async () => {
      await database.close();
      await server.sql.unsafe(`drop database ${name} with (force)`);
      await server.close();
    },
  };
}
