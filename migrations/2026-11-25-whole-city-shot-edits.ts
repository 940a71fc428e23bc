import { type Kysely, sql } from 'kysely';

/** What a shot was before somebody changed or left it out by hand; `after` is null where it was left out. */
export async function up(db: Kysely<unknown>): Promise<void> {
  await sql`
    create table shot_edits (
      agency_id text not null,
      project_id text not null,
      surface_id text not null,
      point text not null,
      ordinal integer not null,
      edit_id bigint generated always as identity,
      before jsonb not null,
      after jsonb,
      why text not null,
      created_at timestamptz not null default now(),
      primary key (agency_id, project_id, surface_id, point, ordinal, edit_id),
      foreign key (agency_id, project_id) references projects on delete cascade
    )`.execute(db);
}
