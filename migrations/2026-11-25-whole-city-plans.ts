import { type Kysely, sql } from 'kysely';

/**
 * Plans of whole cities. The outcomes of a plan are laid beside those in force and come into force by their revision, so
 * that the bulk is written once; a project's cover keeps what the map and counts need, and the hash of what its plan was
 * made from. Outcomes refer to plans and covers without foreign keys: a check a row would cost more than the planning.
 */
export async function up(db: Kysely<unknown>): Promise<void> {
  for (const statement of statements) await sql.raw(statement).execute(db);
}

const statements = [
  'alter table plan_covers drop constraint plan_covers_agency_id_project_id_revision_fkey',
  'alter table plan_covers drop constraint plan_covers_agency_id_project_id_structure_id_fkey',
  // Revisions of one cover lie together, the latest last; `surface_ids` are those of its finished grade.
  `alter table project_covers
    add column net_buildup_m double precision,
    add column worst_m double precision,
    add column surface_ids text[],
    add column inputs_hash bigint,
    add column outcome_hash bigint,
    add column field_status text check (field_status in
      ('planned', 'plated', 'stacked', 'set', 'offGrade', 'accepted')),
    add column plan_stale boolean not null default false,
    add column crew text,
    add column night date,
    add column cell bigint not null generated always as (
      ((floor(northing_m / 20) + 33554432) * 67108864 + floor(easting_m / 20) + 33554432)::bigint) stored`,
  `update project_covers set
    net_buildup_m = (outcome ->> 'netBuildup')::double precision,
    worst_m = (outcome -> 'residual' ->> 'worst')::double precision,
    surface_ids = case when outcome -> 'source' is null then null
      else array(select jsonb_array_elements_text(outcome -> 'source' -> 'surfaces')) end`,
  'alter table project_covers drop column outcome',
  // No index on what a plan changes, and room in every page for each row twice: a plan then writes a cover without touching an index.
  'drop index project_covers_status',
  'alter table project_covers set (fillfactor = 45)',
  'create index project_covers_cell on project_covers (agency_id, project_id, cell)',
  `alter table plans
    drop column status_counts,
    drop column surface_counts,
    drop column inputs_hash,
    add column common_hash text not null default '',
    add column shot_sigmas jsonb not null default '{}'`,
  // Cells of the project's grid in which inputs changed with a revision; a revision without any changed them anywhere.
  `create table plan_changes (
    agency_id text not null,
    project_id text not null,
    input_revision integer not null,
    cell bigint not null,
    primary key (agency_id, project_id, input_revision, cell),
    foreign key (agency_id, project_id) references projects on delete cascade
  )`,
  `create table plan_drafts (
    agency_id text not null,
    project_id text not null,
    revision integer not null,
    job_id uuid not null,
    input_revision integer not null,
    common_hash text not null,
    shot_sigmas jsonb not null,
    strips_done integer[] not null default '{}',
    covers_done integer not null default 0,
    primary key (agency_id, project_id),
    foreign key (agency_id, project_id) references projects on delete cascade
  )`,
  // Lost in a crash of the database: the job then begins again.
  `create unlogged table plan_draft_covers (
    agency_id text not null,
    project_id text not null,
    structure_id text not null,
    status text not null,
    net_buildup_m double precision,
    worst_m double precision,
    surface_ids text[],
    inputs_hash bigint not null,
    outcome_hash bigint not null,
    verdict text not null check (verdict in ('changed', 'same', 'stale'))
  )`,
  'alter table jobs add column planned integer not null default 0',
];
