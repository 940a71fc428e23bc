import { type Kysely, sql } from 'kysely';

/**
 * Covers of a tile lie together: what an import adds is written in the order of places, and a page has room for each row
 * twice, so that a plan leaves it on its page and touches no index. What is there already is put in that order once.
 */
export async function up(db: Kysely<unknown>): Promise<void> {
  for (const statement of statements) await sql.raw(statement).execute(db);
}

const statements = [
  'alter table tile_covers set (fillfactor = 45)',
  'cluster tile_covers using tile_covers_place',
  'analyze tile_covers',
  // Names of streets are searched from memory.
  'drop index structures_street_start',
];
