import { type Kysely, sql } from 'kysely';

/** A structure may be in the register before anybody measured its seat; what is worked out of it is then unknown too. */
export async function up(db: Kysely<unknown>): Promise<void> {
  await sql`alter table structures alter column seat_elevation_m drop not null`.execute(db);
}
