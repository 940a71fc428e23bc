import type { Kysely, Selectable } from 'kysely';
import { sql } from 'kysely';
import type { Agency } from '#shared/agency.ts';
import type { AgenciesTable, Tables } from './tables.ts';

/** Held until the transaction ends: of servers that start together on an empty database one lays the demo. */
export async function lockDemo(db: Kysely<Tables>): Promise<void> {
  await sql`select pg_advisory_xact_lock(hashtextextended('rimplane demo', 0))`.execute(db);
}

export async function listAgencies(db: Kysely<Tables>): Promise<Agency[]> {
  const rows = await db.selectFrom('agencies').selectAll().orderBy('agency_id').execute();
  return rows.map(toAgency);
}

export async function findAgency(db: Kysely<Tables>, agencyId: string): Promise<Agency | null> {
  const row = await db
    .selectFrom('agencies')
    .selectAll()
    .where('agency_id', '=', agencyId)
    .executeTakeFirst();
  return row ? toAgency(row) : null;
}

export async function insertAgency(db: Kysely<Tables>, agency: Agency): Promise<void> {
  await db
    .insertInto('agencies')
    .values({
      agency_id: agency.id,
      name: agency.name,
      length_display: agency.lengthDisplay,
      policy: agency.policy,
    })
    .execute();
}

/** false where its policy is no longer what it was. */
export async function updateAgencyPolicy(
  db: Kysely<Tables>,
  { id, policy: before }: Pick<Agency, 'id' | 'policy'>,
  policy: Agency['policy'],
): Promise<boolean> {
  const result = await db
    .updateTable('agencies')
    .set({ policy })
    .where('agency_id', '=', id)
    .where('policy', '=', before)
    .executeTakeFirst();
  return result.numUpdatedRows > 0n;
}

function toAgency(row: Selectable<AgenciesTable>): Agency {
  return { id: row.agency_id, name: row.name, lengthDisplay: row.length_display, policy: row.policy };
}
