import { type Kysely, sql } from 'kysely';

/** How many covers have their finished grade from each surface, kept with a plan: counting them reads every outcome. */
export async function up(db: Kysely<unknown>): Promise<void> {
  await sql`alter table plans add column surface_counts jsonb not null default '{}'`.execute(db);
}
