import { type Kysely, sql } from 'kysely';

/** A plan of a city comes into force part by part, so that nobody waits for all of it. */
export async function up(db: Kysely<unknown>): Promise<void> {
  for (const statement of statements) await sql.raw(statement).execute(db);
}

const statements = [
  // How many covers were laid down in the draft: a crash of the database empties the table that they are in.
  'alter table plan_drafts add column rows_laid integer not null default 0',
  'delete from plan_drafts',
  // From then on a job goes on to its end, and cannot be cancelled.
  'alter table jobs add column is_entering boolean not null default false',
];
