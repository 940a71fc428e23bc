import { type Kysely, sql } from 'kysely';

/**
 * How rings are packed, how many are spare and how many are on hand: an agency's own, and a project's own in their place.
 * null: not said there. Each set of them has a version of its own, since no plan rests on them.
 */
export async function up(db: Kysely<unknown>): Promise<void> {
  for (const statement of statements) await sql.raw(statement).execute(db);
}

const figures = `pack integer check (pack >= 1),
    spare_share double precision check (spare_share between 0 and 1),
    spare_at_least integer check (spare_at_least >= 0),
    on_hand integer check (on_hand >= 0)`;

const statements = [
  `create table agency_ring_supplies (
    agency_id text not null,
    ring_catalogue_id text not null,
    ring_id text not null,
    ${figures},
    primary key (agency_id, ring_catalogue_id, ring_id),
    foreign key (agency_id, ring_catalogue_id, ring_id) references rings on delete cascade
  )`,
  `create table project_ring_supplies (
    agency_id text not null,
    project_id text not null,
    ring_catalogue_id text not null,
    ring_id text not null,
    ${figures},
    primary key (agency_id, project_id, ring_catalogue_id, ring_id),
    foreign key (agency_id, project_id) references projects on delete cascade,
    foreign key (agency_id, ring_catalogue_id, ring_id) references rings on delete cascade
  )`,
  `alter table ring_catalogues
    add column supply_spare_share double precision check (supply_spare_share between 0 and 1),
    add column supply_version bigint not null default 1`,
  `alter table projects
    add column supply_spare_share double precision check (supply_spare_share between 0 and 1),
    add column supply_version bigint not null default 1`,
];
