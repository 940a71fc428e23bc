import { type Kysely, sql } from 'kysely';

/**
 * Whether shots on coded lines may be among what changed in a cell: those alone have a say in the plans of covers that are
 * farther away than shots are looked for. Of what is noted already nobody knows it.
 */
export async function up(db: Kysely<unknown>): Promise<void> {
  await sql`alter table plan_changes add column is_far boolean not null default true`.execute(db);
}
