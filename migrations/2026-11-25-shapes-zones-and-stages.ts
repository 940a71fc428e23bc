import { type Kysely, sql } from 'kysely';

/**
 * Surfaces say which lift, day, unit and datum they belong to, and may be faces instead of shots; lines and
 * treatment zones stand beside them. Places are metres in the project's grid.
 */
export async function up(db: Kysely<unknown>): Promise<void> {
  for (const statement of statements) await sql.raw(statement).execute(db);
}

const statements = [
  `alter table surfaces
    add column form text not null default 'shots' check (form in ('shots', 'faces')),
    add column lift integer check (lift > 0),
    add column epoch date,
    add column elevation_unit text check (elevation_unit in ('m', 'ft', 'us-ft')),
    add column vertical_datum text,
    add column face_count integer not null default 0,
    add column version integer not null default 1`,
  // A surface of a million faces is some fifty rows. Points: float64 little-endian, east, north, elevation each;
  // faces: uint32 little-endian, three indices into the points of the same block. Bounds are those of the points.
  `create table face_blocks (
    agency_id text not null,
    project_id text not null,
    surface_id text not null,
    block integer not null,
    points bytea not null,
    faces bytea not null,
    face_count integer not null check (face_count > 0),
    west_m double precision not null,
    south_m double precision not null,
    east_m double precision not null,
    north_m double precision not null,
    import_batch_id uuid,
    primary key (agency_id, project_id, surface_id, block),
    foreign key (agency_id, project_id, surface_id) references surfaces on delete cascade
  )`,
  // Positions: [easting, northing, elevation or null], centre lines drawn up-station.
  `create table lines (
    agency_id text not null,
    project_id text not null,
    line_id text not null,
    kind text not null check (kind in ('centre', 'crown', 'gutter', 'edge', 'other')),
    name text not null,
    street text,
    positions jsonb not null,
    import_batch_id uuid,
    created_at timestamptz not null default now(),
    version integer not null default 1,
    primary key (agency_id, project_id, line_id),
    foreign key (agency_id, project_id) references projects on delete cascade
  )`,
  // Polygons: the coordinates of a GeoJSON MultiPolygon with eastings and northings in place of degrees.
  `create table treatment_zones (
    agency_id text not null,
    project_id text not null,
    treatment_zone_id text not null,
    name text not null,
    polygons jsonb not null,
    mill_depth_m double precision not null check (mill_depth_m >= 0),
    lifts_m jsonb not null,
    set_down_m double precision,
    mill_clearance_m double precision,
    max_riser_m double precision,
    created_at timestamptz not null default now(),
    version integer not null default 1,
    primary key (agency_id, project_id, treatment_zone_id),
    foreign key (agency_id, project_id) references projects on delete cascade
  )`,
  // Compacted thicknesses, bottom lift first; null: not said.
  'alter table projects add column lifts_m jsonb, add column set_down_m double precision',
];
