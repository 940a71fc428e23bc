import { type Kysely, sql } from 'kysely';

/**
 * An import is kept from its first byte to its undoing: its files and how far they have come, what was said of them,
 * what they were understood as, what happened, and the values that it took the place of.
 */
export async function up(db: Kysely<unknown>): Promise<void> {
  for (const statement of statements) await sql.raw(statement).execute(db);
}

const statements = [
  `alter table import_batches
    drop constraint import_batches_kind_check,
    alter column kind drop not null,
    alter column file_sha256 drop not null,
    alter column new_rows set default 0,
    alter column changed_rows set default 0,
    alter column same_rows set default 0,
    alter column refused_rows set default 0,
    add constraint import_batches_kind_check
      check (kind in ('structures', 'shots', 'design', 'lines', 'grid')),
    add column state text not null default 'stored' check (state in ('uploading', 'uploaded', 'reading', 'ready',
      'storing', 'stored', 'undone', 'failed', 'discarded')),
    add column said text not null default '',
    add column run_id uuid,
    add column interruptions integer not null default 0,
    add column target jsonb not null default '{}',
    add column answers jsonb not null default '{}',
    add column remembered jsonb,
    add column preview jsonb,
    add column progress_done bigint not null default 0,
    add column progress_total bigint not null default 0,
    add column surface_ids jsonb not null default '[]',
    add column updated_at timestamptz not null default now(),
    add column kept_until timestamptz`,
  'create index import_batches_project on import_batches (agency_id, project_id, created_at desc)',
  `create table import_files (
    agency_id text not null,
    import_batch_id uuid not null,
    number integer not null check (number > 0),
    name text not null,
    size_bytes bigint not null check (size_bytes > 0),
    sha256 text,
    primary key (agency_id, import_batch_id, number),
    foreign key (agency_id, import_batch_id) references import_batches on delete cascade
  )`,
  `create table import_events (
    agency_id text not null,
    import_batch_id uuid not null,
    event_id bigint generated always as identity,
    state text not null,
    text text not null,
    created_at timestamptz not null default now(),
    primary key (agency_id, import_batch_id, event_id),
    foreign key (agency_id, import_batch_id) references import_batches on delete cascade
  )`,
  // A row that the import made (before is null) or changed; after_version tells whether it was changed since.
  `create table import_changes (
    agency_id text not null,
    import_batch_id uuid not null,
    kind text not null check (kind in ('structure', 'cover', 'line', 'surface')),
    row_key text not null,
    before jsonb,
    after_version integer,
    primary key (agency_id, import_batch_id, kind, row_key),
    foreign key (agency_id, import_batch_id) references import_batches on delete cascade
  )`,
  // Shots come in millions: what one was before has columns of its own, and one that is new has no row here.
  `create table shot_changes (
    agency_id text not null,
    import_batch_id uuid not null,
    project_id text not null,
    surface_id text not null,
    point text not null,
    ordinal integer not null,
    easting_m double precision not null,
    northing_m double precision not null,
    elevation_m double precision not null,
    code text not null,
    role text not null,
    sigma_m double precision,
    cell bigint not null,
    prior_batch_id uuid,
    primary key (agency_id, import_batch_id, surface_id, point, ordinal),
    foreign key (agency_id, import_batch_id) references import_batches on delete cascade
  )`,
  // Faces that an import took the place of, as face_blocks has them.
  `create table face_block_changes (
    agency_id text not null,
    import_batch_id uuid not null,
    surface_id text not null,
    block integer not null,
    points bytea not null,
    faces bytea not null,
    face_count integer not null,
    west_m double precision not null,
    south_m double precision not null,
    east_m double precision not null,
    north_m double precision not null,
    prior_batch_id uuid,
    primary key (agency_id, import_batch_id, surface_id, block),
    foreign key (agency_id, import_batch_id) references import_batches on delete cascade
  )`,
  'alter table surfaces add column import_batch_id uuid, add column content_sha256 text',
  // What was said of columns and codes of a file with these headings, for the next one like it.
  `create table import_memories (
    agency_id text not null references agencies,
    fingerprint text not null,
    file_name text not null,
    answers jsonb not null,
    updated_at timestamptz not null default now(),
    primary key (agency_id, fingerprint)
  )`,
  `create table code_maps (
    agency_id text not null references agencies,
    code text not null,
    role text not null,
    file_name text not null,
    updated_at timestamptz not null default now(),
    primary key (agency_id, code)
  )`,
];
