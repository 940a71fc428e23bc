import type { Database } from '../database.ts';
import { type Area, areaOf, revisionTilesOf, runsOf, type TileAddress } from './area.ts';
import { cellsPerSide, revisionZoom } from './places.ts';
import { run, Statement } from './statement.ts';

/** What tiles are of: one project's covers, or the register of a whole agency where the project is null. */
export interface TileScope {
  agencyId: string;
  projectId: string | null;
}

/** Only covers that are all of this. A status '' is that of a cover without one. */
export interface TileFilter {
  statuses: readonly string[] | null;
  kind: string | null;
  owner: string | null;
  street: string | null;
  /** A project whose covers are left out. */
  outside: string | null;
}

/** Between covers as the table draws them, and between the parts of one; the migration that made `drawn` names these. */
export const recordSeparator = '\u001e';
export const partSeparator = '\u001f';

/** Covers of one status in one cell of the tile, with the sums of their places. */
export type CountTuple = [cell: number, status: string, covers: number, sumX: number, sumY: number];

/** Every revision only ever grows, so their sum tells of each change. */
const revisionOf = (statement: Statement, scope: TileScope, area: Area): string =>
  `select coalesce(sum(revision), 0)::text ${revisionRows(statement, scope, area)}`;

function revisionRows(statement: Statement, { agencyId, projectId }: TileScope, area: Area): string {
  const { west, east, north, south } = revisionTilesOf(area);
  const project = projectId === null ? '' : `and project_id = ${statement.value(projectId)}`;
  return `from tile_revisions where agency_id = ${statement.value(agencyId)}
    and tile_y between ${statement.value(north)} and ${statement.value(south)}
    and tile_x between ${statement.value(west)} and ${statement.value(east)} ${project}`;
}

/** Conditions on rows of tile_covers or tile_counts. In the latter unknown texts are blank. */
function conditionsOf(statement: Statement, scope: TileScope, filter: Partial<TileFilter>): string {
  const parts = [`agency_id = ${statement.value(scope.agencyId)}`];
  parts.push(scope.projectId === null ? 'leads' : `project_id = ${statement.value(scope.projectId)}`);
  const { statuses = null, kind = null, owner = null, street = null, outside = null } = filter;
  if (statuses !== null) parts.push(`coalesce(status, '') = any(${statement.value(statuses)}::text[])`);
  if (kind !== null) parts.push(`kind = ${statement.value(kind)}`);
  if (owner !== null) parts.push(`owner = ${statement.value(owner)}`);
  if (outside !== null) parts.push(`project_id <> ${statement.value(outside)}`);
  if (street !== null) parts.push(`street = ${statement.value(street)}`);
  return parts.join(' and ');
}

/** The covers of an area in any order, as the table draws them, with the revision that they are of. */
export async function readCovers(
  database: Database,
  scope: TileScope,
  filter: TileFilter,
  area: Area,
): Promise<{ revision: string; drawn: string }> {
  const statement = new Statement();
  return readDrawn(database, statement, {
    revision: revisionOf(statement, scope, area),
    within: conditionsOf(statement, scope, filter),
    area,
  });
}

/** The same with the revision of each tile that has one, by `revisionKey`. */
export async function readBlock(
  database: Database,
  scope: TileScope,
  filter: TileFilter,
  area: Area,
): Promise<{ revisions: Map<number, number>; drawn: string }> {
  const statement = new Statement();
  const { revision, drawn } = await readDrawn(database, statement, {
    revision: `select coalesce(string_agg(tile_y || ' ' || tile_x || ' ' || revision, ','), '')
      from (select tile_y, tile_x, sum(revision) as revision ${revisionRows(statement, scope, area)} group by 1, 2) as tile`,
    within: conditionsOf(statement, scope, filter),
    area,
  });
  const tiles = revision === '' ? [] : revision.split(',').map((tile) => tile.split(' ').map(Number));
  return { revisions: new Map(tiles.map(([y, x, number]) => [revisionKey(y, x), number])), drawn };
}

/** Number of the tile with a revision in a row and a column. */
export const revisionKey = (y: number, x: number): number => y * 2 ** revisionZoom + x;

async function readDrawn(
  database: Database,
  statement: Statement,
  { revision, within, area }: { revision: string; within: string; area: Area },
): Promise<{ revision: string; drawn: string }> {
  const runs = runsOf(area);
  const [firsts, lasts] = [runs.map(({ from }) => from), runs.map(({ to }) => to)];
  // In one statement, so that all are of the same moment, of one form, so that it is prepared soon. A strip in one value,
  // since a row each costs more than its bytes, and a whole tile in one has to be moved again and again while it grows.
  const text = `select (${revision}), (
      select string_agg(drawn, chr(30)) from tile_covers
      where ${within} and y between ${statement.value(area.north)} and ${statement.value(area.south)}
        and place between run.first and run.last)
    from unnest(${statement.list(firsts, 'bigint')}, ${statement.list(lasts, 'bigint')}) as run (first, last)`;
  const strips = await run<[string, string | null]>(database, text, statement);
  const drawn = strips.flatMap(([, strip]) => strip ?? []).join(recordSeparator);
  return { revision: strips[0][0], drawn };
}

/** Counts by cell of a tile and status, those of one cell together, with the revision that they are of. */
export async function readTileCounts(
  database: Database,
  scope: TileScope,
  filter: TileFilter,
  address: TileAddress,
): Promise<{ revision: string; counts: CountTuple[] }> {
  const statement = new Statement();
  const revision = revisionOf(statement, scope, areaOf(address));
  const { street, ...others } = filter;
  const rows =
    street === null
      ? countedRows(statement, { scope, filter: others, address })
      : streetRows(statement, { scope, filter, address });
  const text = `select -1::bigint as cell, (${revision}) as status, 0::bigint as covers, 0::bigint, 0::bigint
    union all (${rows})`;
  const [first, ...counts] = await run<CountTuple>(database, text, statement);
  counts.sort((a, b) => a[0] - b[0]);
  return { revision: first[1], counts };
}

interface Wanted {
  scope: TileScope;
  filter: Partial<TileFilter>;
  address: TileAddress;
}

const cellsOfTile = cellsPerSide ** 2;

function countedRows(statement: Statement, { scope, filter, address: { z, x, y } }: Wanted): string {
  const firstCell = (y * 2 ** z + x) * cellsOfTile;
  return `select cell - ${statement.value(firstCell)}::bigint, status, sum(covers)::bigint, sum(sum_x)::bigint,
      sum(sum_y)::bigint
    from tile_counts where ${conditionsOf(statement, scope, filter)} and zoom = ${statement.value(z)}
      and cell between ${statement.value(firstCell)} and ${statement.value(firstCell + cellsOfTile - 1)}
    group by 1, 2 having sum(covers) > 0`;
}

/** A street has some hundred covers: they are counted when asked for, found by the register's index of streets. */
function streetRows(statement: Statement, { scope, filter, address }: Wanted): string {
  const { west, east, north, south } = areaOf(address);
  const cellBits = 30 - address.z - Math.log2(cellsPerSide);
  const cell = (place: string, first: number) => `((${place} >> ${cellBits}) - ${first >> cellBits})`;
  return `select ${cell('y', north)} * ${cellsPerSide} + ${cell('x', west)}, status, count(*), sum(x), sum(y)
    from (
      select place & 1073741823 as x, y::bigint as y, coalesce(status, '') as status from tile_covers
      where ${conditionsOf(statement, scope, filter)} and y between ${north} and ${south}
        and structure_id in (
          select structure_id from structures
          where agency_id = ${statement.value(scope.agencyId)} and street = ${statement.value(filter.street)})
    ) as found where x between ${west} and ${east} group by 1, 2`;
}

/** Squares of zoom 15 in which there are covers: west, north, east, south, the last two exclusive; null without any. */
export async function findTileBounds(
  database: Database,
  scope: TileScope,
): Promise<{ west: number; north: number; east: number; south: number } | null> {
  const statement = new Statement();
  const text = `select min(x), min(y), max(x) + 1, max(y) + 1 from (
      select (cell >> 6 & 4095) * 8 + (cell & 7) as x, (cell >> 18) * 8 + (cell >> 3 & 7) as y from tile_counts
      where ${conditionsOf(statement, scope, {})} and zoom = 12 and covers > 0
    ) as found`;
  const [[west, north, east, south]] = await run<[number | null, number, number, number]>(
    database,
    text,
    statement,
  );
  return west === null ? null : { west, north, east, south };
}
