import { type Kysely, type RawBuilder, sql } from 'kysely';
import type { Tables } from '../tables.ts';
import { cellOfPlace, firstCoverZoom, revisionZoom, xOfLon, xOfPlace, yOfLat } from './places.ts';

/**
 * What is written to structures and to covers of projects shows in the tiles through these two functions. Whoever writes
 * calls one of them once, last in his transaction: locks are then taken in one order, projects, structures, covers,
 * revisions of tiles, counts, and nobody waits for a tile longer than a commit takes. Both lay what is there now beside
 * what was counted before, so that a cover is never counted twice, whatever was called how often.
 */

type Ids = readonly string[] | RawBuilder<{ structure_id: string }>;

/** Rows `structure_id` of given ids, or of a select that names its only column so. */
function rowsOf(ids: Ids): RawBuilder<{ structure_id: string }> {
  return 'toOperationNode' in ids ? ids : sql`select unnest(${ids as string[]}::text[]) as structure_id`;
}

/**
 * After structures were made, changed or removed, or became or ceased to be covers of projects: brings their rows, the
 * counts and the revisions up to date, in every project that they are in.
 */
export async function applyStructureChanges(db: Kysely<Tables>, agencyId: string, ids: Ids): Promise<void> {
  if (Array.isArray(ids) && ids.length === 0) return;
  // Nobody else moves them, or puts them in a project, before this transaction ends.
  await sql`
    select from structures where agency_id = ${agencyId} and structure_id in (${rowsOf(ids)})
    order by structure_id for no key update`.execute(db);
  await bumpRevisions(
    db,
    agencyId,
    sql`
    select y, ${xOfPlace} as x, project_id from tile_covers
    where agency_id = ${agencyId} and structure_id in (${rowsOf(ids)})
    union all
    select y, x, project_id from (${placesNow(agencyId, ids)}) as placed`,
  );
  await sql`
    with now as materialized (${placesNow(agencyId, ids)}),
    before as materialized (
      select tile_covers.*, ${xOfPlace} as x from tile_covers
      where agency_id = ${agencyId} and structure_id in (${rowsOf(ids)})
    ), gone as (
      delete from tile_covers as kept using before
      where kept.agency_id = ${agencyId} and kept.structure_id = before.structure_id
        and kept.project_id = before.project_id
        and not exists (
          select from now where now.structure_id = before.structure_id and now.project_id = before.project_id)
    ), written as (
      insert into tile_covers as kept (agency_id, structure_id, project_id, feature_id, leads, place, y, kind, owner,
        street, status, net_buildup_m)
      select ${agencyId}, structure_id, project_id, feature_id, leads, (y >> 14 << 30) + x, y, kind, owner, street,
        status, net_buildup_m
      from now order by project_id, y >> 14, x
      on conflict (agency_id, structure_id, project_id) do update
      set feature_id = excluded.feature_id, leads = excluded.leads, place = excluded.place, y = excluded.y,
        kind = excluded.kind, owner = excluded.owner, street = excluded.street, status = excluded.status,
        net_buildup_m = excluded.net_buildup_m
      where (kept.feature_id, kept.leads, kept.place, kept.y, kept.kind, kept.owner, kept.street, kept.status,
          kept.net_buildup_m) is distinct from
        (excluded.feature_id, excluded.leads, excluded.place, excluded.y, excluded.kind, excluded.owner,
          excluded.street, excluded.status, excluded.net_buildup_m)
    )
    ${addToCounts(
      agencyId,
      sql`
      select 1 as sign, x, y, project_id, leads, status, kind, owner from now
      union all select -1, x, y, project_id, leads, status, kind, owner from before`,
    )}`.execute(db);
}

/** What the tables of the tiles have to say of structures, from the register and the projects as they are now. */
function placesNow(agencyId: string, ids: Ids): RawBuilder<unknown> {
  return sql`
    select structure_id, coalesce(project_id, '') as project_id, feature_id, x, y, kind, owner, street, status,
      net_buildup_m, row_number() over (
        partition by structure_id order by created_at desc, project_id desc) = 1 as leads
    from (
      select structure.structure_id, structure.feature_id, ${xOfLon} as x, ${yOfLat} as y, structure.kind,
        structure.owner, structure.street, cover.project_id, coalesce(cover.field_status, cover.status) as status,
        project.created_at,
        cover.net_buildup_m
      from structures as structure
      left join project_covers as cover
        on cover.agency_id = structure.agency_id and cover.structure_id = structure.structure_id
      left join projects as project
        on project.agency_id = cover.agency_id and project.project_id = cover.project_id
      where structure.agency_id = ${agencyId} and structure.structure_id in (${rowsOf(ids)})
    ) as placed`;
}

/** A cover as it is shown: the field's status, else the plan's, null for none, and net buildup in metres. */
export interface ChangedCover {
  structure_id: string;
  status: string | null;
  net_buildup_m: number | null;
}

/**
 * After a plan gave covers of one project their statuses: `changed` is a select of `structure_id`, `status` and
 * `net_buildup_m` with a row for each cover, e.g. from a staging table, and is run twice. Thousands of covers are two
 * statements. The caller holds the project's lock and calls this once, last before he ends the job and commits:
 * from here on writers in the same tiles of the project wait for him.
 */
export async function applyCoverChanges(
  db: Kysely<Tables>,
  { agencyId, projectId }: { agencyId: string; projectId: string },
  changed: RawBuilder<ChangedCover>,
): Promise<void> {
  const differing = sql`
    select kept.agency_id, kept.ctid as place_in_table, kept.y, ${xOfPlace} as x, kept.project_id, kept.leads,
      kept.status, kept.kind, kept.owner, change.status as new_status, change.net_buildup_m as new_net_buildup_m
    from (${changed}) as change
    join tile_covers as kept on kept.structure_id = change.structure_id
    where kept.agency_id = ${agencyId} and kept.project_id = ${projectId}
      and (kept.status, kept.net_buildup_m) is distinct from (change.status, change.net_buildup_m)`;
  await bumpRevisions(db, agencyId, sql`select y, x, project_id from (${differing}) as differing`);
  // Whoever writes a row has its tile locked first, so rows are still where they were found. Counts come after them, since those of
  // coarse cells keep everybody else waiting.
  await sql`
    with before as materialized (${differing}),
    written as (
      update tile_covers as kept set status = before.new_status, net_buildup_m = before.new_net_buildup_m
      from before
      where kept.agency_id = before.agency_id and kept.ctid = before.place_in_table
      returning before.*
    )
    ${addToCounts(
      agencyId,
      sql`
      select 1 as sign, x, y, project_id, leads, new_status as status, kind, owner from written
      union all select -1, x, y, project_id, leads, status, kind, owner from written`,
    )}`.execute(db);
}

/**
 * Gives the tiles of rows `y`, `x`, `project_id` a new revision and locks them until the transaction ends, in the order
 * of their keys. Revisions follow the clock, so that a database that was put back in time does not repeat one.
 */
async function bumpRevisions(
  db: Kysely<Tables>,
  agencyId: string,
  places: RawBuilder<unknown>,
): Promise<void> {
  const shift = sql.lit(30 - revisionZoom);
  const clock = sql`(extract(epoch from clock_timestamp()) * 1000)::bigint`;
  await sql`
    insert into tile_revisions as kept (agency_id, tile_y, tile_x, project_id, revision)
    select ${agencyId}, tile_y, tile_x, project_id, ${clock}
    from (select distinct y >> ${shift} as tile_y, x >> ${shift} as tile_x, project_id from (${places}) as place) as tile
    order by tile_y, tile_x, project_id
    on conflict (agency_id, tile_y, tile_x, project_id) do update
    set revision = greatest(kept.revision + 1, excluded.revision)`.execute(db);
}

/**
 * Adds rows `sign`, `x`, `y`, `project_id`, `leads`, `status`, `kind`, `owner` to the counts of every zoom. They are
 * summed up in the cells of the finest zoom first, and those in the coarser ones: covers of a city are few cells.
 */
function addToCounts(agencyId: string, rows: RawBuilder<unknown>): RawBuilder<unknown> {
  const finest = sql.lit(firstCoverZoom - 1);
  return sql`
    insert into tile_counts as kept (agency_id, zoom, cell, project_id, leads, status, kind, owner, covers, sum_x, sum_y)
    select ${agencyId}, zoom, ${cellOfPlace} as cell, project_id, leads, status, kind, owner, sum(covers), sum(sum_x),
      sum(sum_y)
    from (
      select min(x) as x, min(y) as y, project_id, leads, coalesce(status, '') as status, kind,
        coalesce(owner, '') as owner, sum(sign) as covers, sum(sign * x) as sum_x, sum(sign * y) as sum_y
      from (${rows}) as row
      group by x >> (27 - ${finest}), y >> (27 - ${finest}), 3, 4, 5, 6, 7
    ) as row cross join generate_series(0, ${finest}) as zoom
    group by 2, 3, 4, 5, 6, 7, 8
    having sum(covers) <> 0 or sum(sum_x) <> 0 or sum(sum_y) <> 0
    order by 2, 3, 4, 5, 6, 7, 8
    on conflict (agency_id, zoom, cell, project_id, leads, status, kind, owner) do update
    set covers = kept.covers + excluded.covers, sum_x = kept.sum_x + excluded.sum_x,
      sum_y = kept.sum_y + excluded.sum_y`;
}
