import { type Kysely, sql } from 'kysely';

/** What a ring weighs, where its maker says so: who lifts it is told whether that takes two. */
export async function up(db: Kysely<unknown>): Promise<void> {
  await sql`alter table rings add column mass_kg double precision check (mass_kg > 0)`.execute(db);
}
