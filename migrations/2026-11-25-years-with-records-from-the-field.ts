import { type Kysely, sql } from 'kysely';

/**
 * What is recorded at the hole. A record stays even where its cover leaves the project or the register, so nothing refers
 * to either. `seq` is given out under the lock of the project's row: who has read up to one never misses a smaller one.
 */
export async function up(db: Kysely<unknown>): Promise<void> {
  for (const statement of statements) await sql.raw(statement).execute(db);
}

const statements = [
  `create table field_records (
    agency_id text not null,
    project_id text not null,
    record_id uuid not null,
    structure_id text not null,
    seq bigint not null,
    kind text not null,
    facts jsonb not null,
    made_by text not null,
    device uuid not null,
    device_time timestamptz not null,
    received_at timestamptz not null,
    seen bigint not null,
    primary key (agency_id, project_id, record_id),
    unique (agency_id, project_id, seq),
    foreign key (agency_id, project_id) references projects on delete cascade
  )`,
  'create index field_records_cover on field_records (agency_id, project_id, structure_id, seq)',
  // A project that is removed takes its records with it: that comes from a trigger of the reference, one level down.
  `create function refuse_changed_record() returns trigger language plpgsql as $$
    begin
      if pg_trigger_depth() > 1 then return old; end if;
      raise exception 'Records from the field are added, never changed or removed';
    end $$`,
  `create trigger field_records_stay before update or delete on field_records
    for each row execute function refuse_changed_record()`,
  'alter table projects add column field_seq bigint not null default 0',
  `alter table project_covers
    add column field_seq bigint,
    add column field_conflict boolean not null default false,
    add column plate text,
    add column plated_at timestamptz`,
  `create index project_covers_plated on project_covers (agency_id, project_id, plated_at) where plate is not null`,
  `create index project_covers_conflict on project_covers (agency_id, project_id) where field_conflict`,
  // Bytes lie in a folder; a row says that all of them are there and are what their hash says.
  `create table photos (
    agency_id text not null references agencies,
    sha256 text not null check (sha256 ~ '^[0-9a-f]{64}$'),
    bytes integer not null,
    media_type text not null,
    complete boolean not null,
    created_at timestamptz not null default now(),
    primary key (agency_id, sha256)
  )`,
  `create table vacuum_tables (
    agency_id text not null references agencies,
    vacuum_table_id text not null,
    definition jsonb not null,
    updated_at timestamptz not null default now(),
    primary key (agency_id, vacuum_table_id)
  )`,
  'alter table structures add column accessible_route boolean',
];
