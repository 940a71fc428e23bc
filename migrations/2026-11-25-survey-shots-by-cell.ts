import { type Kysely, sql } from 'kysely';

/**
 * One index for both the identity of a shot and the search by place: rows that lie together stand together in it, so
 * that a survey of millions is laid down at a third of the cost. Imports see to it that a point of one surface has its
 * name and ordinal once, under the project's lock; they make the surface first, so that no check of a reference is
 * queued for each of millions of rows.
 */
export async function up(db: Kysely<unknown>): Promise<void> {
  for (const statement of statements) await sql.raw(statement).execute(db);
}

const statements = [
  'alter table shots drop constraint shots_agency_id_project_id_surface_id_fkey',
  'drop index shots_cell',
  'alter table shots drop constraint shots_pkey',
  'alter table shots add primary key (agency_id, project_id, surface_id, cell, point, ordinal)',
];
