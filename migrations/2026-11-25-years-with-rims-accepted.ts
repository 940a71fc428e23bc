import { type Kysely, sql } from 'kysely';

/** The acceptance that a rim came from, so that whoever takes it back takes the rim back too. */
export async function up(db: Kysely<unknown>): Promise<void> {
  await sql`alter table rim_records add column field_record_id uuid`.execute(db);
}
