import { type Kysely, sql } from 'kysely';

/**
 * The register over the years: rims by date, what stands under them now, and what people look it up by. An assignment
 * keeps what each of its covers had before, so that it can be taken back.
 */
export async function up(db: Kysely<unknown>): Promise<void> {
  for (const statement of statements) await sql.raw(statement).execute(db);
}

const day = `(created_at at time zone 'utc')::date`;

const statements = [
  // Rows are added and never changed, but for `withdrawn_at`, which an undo sets.
  `create table rim_records (
    agency_id text not null,
    structure_id text not null,
    rim_record_id bigint generated always as identity,
    date date not null,
    rim_elevation_m double precision not null,
    pavement_elevation_m double precision,
    seat_elevation_m double precision,
    frame_height_m double precision,
    source text not null check (source in ('register', 'import', 'edit', 'levelled')),
    who text,
    note text,
    import_batch_id uuid,
    created_at timestamptz not null default now(),
    withdrawn_at timestamptz,
    primary key (agency_id, structure_id, rim_record_id),
    foreign key (agency_id, structure_id) references structures on delete cascade
  )`,
  // What the rims were before they were first changed, what they were changed to, then those that never were.
  `create temporary table rim_changes on commit drop as
    select agency_id, structure_id, event_id, created_at, (rim ->> 0)::double precision as before,
      (rim ->> 1)::double precision as after, kind
    from (
      select *, coalesce(detail #> '{changes,rimElevationM}', detail -> 'rimElevationM') as rim from structure_events
    ) as event
    where jsonb_typeof(rim) = 'array'`,
  `insert into rim_records (agency_id, structure_id, date, rim_elevation_m, source)
    select distinct on (change.agency_id, change.structure_id) change.agency_id, change.structure_id,
      coalesce((select min(created_at) from structure_events as first where first.agency_id = change.agency_id
        and first.structure_id = change.structure_id), change.created_at)::date, change.before, 'register'
    from rim_changes as change where change.before is not null
    order by change.agency_id, change.structure_id, change.event_id`,
  `insert into rim_records (agency_id, structure_id, date, rim_elevation_m, source)
    select agency_id, structure_id, ${day}, after, case kind when 'imported' then 'import' else 'edit' end
    from rim_changes where after is not null order by event_id`,
  `insert into rim_records (agency_id, structure_id, date, rim_elevation_m, seat_elevation_m, frame_height_m, source,
      import_batch_id)
    select agency_id, structure_id, (updated_at at time zone 'utc')::date, rim_elevation_m, seat_elevation_m,
      frame_height_m, 'register', import_batch_id
    from structures as structure
    where rim_elevation_m is not null and not exists (
      select from rim_changes as change where change.agency_id = structure.agency_id
        and change.structure_id = structure.structure_id)`,
  `alter table structures add column buildup_m double precision
    generated always as (rim_elevation_m - seat_elevation_m - frame_height_m) stored`,
  'create index structures_buildup on structures (agency_id, buildup_m, structure_id)',
  // Beginnings of what people type; the pattern classes make LIKE 'x%' a range whatever the collation.
  'create index structures_id_start on structures (agency_id, lower(structure_id) text_pattern_ops)',
  `create index structures_number_start on structures (agency_id,
    ltrim(regexp_replace(structure_id, '^[^0-9]*', ''), '0') text_pattern_ops)`,
  'create index structures_street_start on structures (agency_id, lower(street) text_pattern_ops, street)',
  `create table cover_assignments (
    agency_id text not null,
    assignment_id uuid not null,
    project_id text not null,
    crew text,
    night date,
    sets_crew boolean not null,
    sets_night boolean not null,
    created_at timestamptz not null default now(),
    undone_at timestamptz,
    primary key (agency_id, assignment_id),
    foreign key (agency_id, project_id) references projects on delete cascade
  )`,
  `create table cover_assignment_rows (
    agency_id text not null,
    assignment_id uuid not null,
    structure_id text not null,
    joined boolean not null,
    crew text,
    night date,
    primary key (agency_id, assignment_id, structure_id),
    foreign key (agency_id, assignment_id) references cover_assignments on delete cascade
  )`,
];
