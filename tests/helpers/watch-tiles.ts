import { type Kysely, sql } from 'kysely';
import type { Tables } from '../../server/store/tables.ts';
import { xOfLon, xOfPlace, yOfLat } from '../../server/store/tiles/places.ts';

/** Connections of this name write as a test pleases. */
export const byHand = 'rimplane, a test by hand';

/**
 * From here on a transaction that writes structures or covers of projects fails at its commit where the tiles do not show
 * what it wrote: its author forgot applyStructureChanges or applyCoverChanges (server/store/tiles/changes.ts). The counts
 * of the tiles are kept by the same statements as the rows that are compared here.
 */
export async function watchTiles(db: Kysely<Tables>): Promise<void> {
  const watched = sql.lit(byHand);
  const wanted = sql`
    select coalesce(cover.project_id, '') as project_id, structure.feature_id, x, y, structure.kind, structure.owner,
      structure.street, coalesce(cover.field_status, cover.status) as status, cover.net_buildup_m
    from (select *, ${xOfLon} as x, ${yOfLat} as y from structures) as structure
    left join project_covers as cover
      on cover.agency_id = structure.agency_id and cover.structure_id = structure.structure_id
    where structure.agency_id = written.agency_id and structure.structure_id = written.structure_id`;
  const shown = sql`
    select project_id, feature_id, ${xOfPlace} as x, y, kind, owner, street, status, net_buildup_m from tile_covers
    where agency_id = written.agency_id and structure_id = written.structure_id`;
  await sql`
    create function tiles_show_what_was_written() returns trigger language plpgsql as $$
    declare written record := coalesce(new, old);
    begin
      if exists ((${wanted}) except all (${shown})) or exists ((${shown}) except all (${wanted})) then
        raise exception 'the tiles do not show what was written to % of structure %', tg_table_name, written.structure_id
          using hint = 'whoever writes calls applyStructureChanges or applyCoverChanges last in his transaction';
      end if;
      return null;
    end $$`.execute(db);
  for (const [table, columns] of Object.entries(shownColumns)) {
    const row = (of: 'old' | 'new') => sql.join(columns.map((column) => sql.ref(`${of}.${column}`)));
    const isByHand = sql`current_setting('application_name') = ${watched}`;
    const each = sql`deferrable initially deferred for each row`;
    await sql`
      create constraint trigger shown_in_tiles after insert or delete on ${sql.table(table)} ${each}
      when (not ${isByHand}) execute function tiles_show_what_was_written()`.execute(db);
    await sql`
      create constraint trigger change_shown_in_tiles after update on ${sql.table(table)} ${each}
      when (not ${isByHand} and (${row('old')}) is distinct from (${row('new')}))
      execute function tiles_show_what_was_written()`.execute(db);
  }
}

/** What the tiles show of each table. */
const shownColumns = {
  structures: ['lon', 'lat', 'kind', 'owner', 'street', 'feature_id'],
  project_covers: ['status', 'field_status', 'net_buildup_m'],
} as const;
