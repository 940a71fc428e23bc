import type { Kysely } from 'kysely';
import type { VacuumTable } from '#shared/vacuum-table.ts';
import type { Tables } from '../tables.ts';

export async function listVacuumTables(db: Kysely<Tables>, agencyId: string): Promise<VacuumTable[]> {
  const rows = await db
    .selectFrom('vacuum_tables')
    .select('definition')
    .where('agency_id', '=', agencyId)
    .orderBy('vacuum_table_id')
    .execute();
  return rows.map(({ definition }) => definition);
}

export async function findVacuumTable(
  db: Kysely<Tables>,
  agencyId: string,
  id: string,
): Promise<VacuumTable | null> {
  const row = await db
    .selectFrom('vacuum_tables')
    .select('definition')
    .where('agency_id', '=', agencyId)
    .where('vacuum_table_id', '=', id)
    .executeTakeFirst();
  return row?.definition ?? null;
}

/** Adds a table, or puts it in place of the one of its id. */
export async function putVacuumTable(
  db: Kysely<Tables>,
  agencyId: string,
  table: VacuumTable,
): Promise<void> {
  await db
    .insertInto('vacuum_tables')
    .values({ agency_id: agencyId, vacuum_table_id: table.id, definition: table })
    .onConflict((conflict) =>
      conflict
        .columns(['agency_id', 'vacuum_table_id'])
        .doUpdateSet({ definition: table, updated_at: new Date() }),
    )
    .execute();
}

/** false where there is none. */
export async function removeVacuumTable(db: Kysely<Tables>, agencyId: string, id: string): Promise<boolean> {
  const result = await db
    .deleteFrom('vacuum_tables')
    .where('agency_id', '=', agencyId)
    .where('vacuum_table_id', '=', id)
    .executeTakeFirst();
  return result.numDeletedRows > 0n;
}
