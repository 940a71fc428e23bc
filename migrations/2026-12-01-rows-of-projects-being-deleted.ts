import { type Kysely, sql } from 'kysely';

/**
 * A project of a city is deleted by a job, piece by piece. From the moment on that somebody asked for it, nothing about the
 * project changes any more: a change that was on its way is refused with the code RPDEL.
 */
export async function up(db: Kysely<unknown>): Promise<void> {
  for (const statement of statements) await sql.raw(statement).execute(db);
}

const statements = [
  'alter table projects add column deleting_since timestamptz',
  `create function refuse_project_being_deleted() returns trigger language plpgsql as $$
    begin
      raise exception 'The project "%" is being deleted.', old.project_id using errcode = 'RPDEL';
    end $$`,
  `create trigger stays_as_it_is_while_deleted before update on projects for each row
    when (old.deleting_since is not null) execute function refuse_project_being_deleted()`,
];
