import { lineRoles } from '#core/plan/reach.ts';
import { copyOut } from '../copyOut.ts';
import { literal, type Transaction } from '../transaction.ts';
import type { CellRun } from './cellRuns.ts';
import { ReadShots, type StoredShots } from './shotColumns.ts';

interface ProjectKey {
  agencyId: string;
  projectId: string;
}

/** Where shots are looked for. Metres in the project's grid. */
export interface ShotWindow {
  runs: readonly CellRun[];
  west: number;
  south: number;
  east: number;
  north: number;
}

/** What is read of a shot, in this order. */
const ownColumns = 'easting_m, northing_m, point, elevation_m, role, sigma_m';

const onLines = `role in (${lineRoles.map(literal).join(', ')})`;

/** Which shots are asked for. */
const conditions = { all: 'true', rim: "role = 'rim'", onLine: onLines, offLine: `not ${onLines}` };

/** Shots of one surface in a window, in no order; of a surface that no plan is made from, those on rims alone. */
export async function readShots(
  sql: Transaction['sql'],
  { agencyId, projectId, surfaceId }: ProjectKey & { surfaceId: string },
  window: ShotWindow,
  which: keyof typeof conditions = 'all',
): Promise<StoredShots> {
  const shots = new ReadShots();
  const ends = (end: (run: CellRun) => number) => `array[${window.runs.map(end).join(', ')}]::bigint[]`;
  // Run by run through the index; a list of conditions would be held against every shot. The offset keeps what is asked of
  // the role, of which the survey may have none, from leading to another way.
  const query = `select ${ownColumns}
    from unnest(${ends(({ from }) => from)}, ${ends(({ to }) => to)}) as run (first_cell, last_cell)
    cross join lateral (
      select ${ownColumns} from shots
      where shots.agency_id = ${literal(agencyId)} and project_id = ${literal(projectId)}
        and surface_id = ${literal(surfaceId)} and cell between first_cell and last_cell
      offset 0) as shot
    where ${conditions[which]}`;
  await copyOut(sql, query, shots.add);
  return shots.in(window);
}

/** Shots of one surface in a run of cells, for having them rectangle by rectangle. */
export async function readShotColumns(
  sql: Transaction['sql'],
  { agencyId, projectId, surfaceId }: ProjectKey & { surfaceId: string },
  { run, rimsOnly }: { run: CellRun; rimsOnly: boolean },
): Promise<ReadShots> {
  const columns = new ReadShots();
  const query = `select ${ownColumns} from shots
    where shots.agency_id = ${literal(agencyId)} and project_id = ${literal(projectId)}
      and surface_id = ${literal(surfaceId)} and cell between ${run.from} and ${run.to}
      ${rimsOnly ? "and role = 'rim'" : ''}`;
  await copyOut(sql, query, columns.add);
  columns.sort();
  return columns;
}

/** Is there a shot on the surface that records no sigma of its own? Rims and seats are not of the surface. */
export async function hasUnrecordedShots(
  sql: Transaction['sql'],
  { agencyId, projectId }: ProjectKey,
  surfaceIds: readonly string[],
): Promise<boolean> {
  const rows = await sql`
    select 1 from shots
    where agency_id = ${agencyId} and project_id = ${projectId} and surface_id in ${sql(surfaceIds)}
      and role not in ('rim', 'seat') and sigma_m is null
    limit 1`;
  return rows.length > 0;
}

/** How many shots there are on surfaces, counted up to a limit. */
export async function countShotsUpTo(
  sql: Transaction['sql'],
  { agencyId, projectId }: ProjectKey,
  { surfaceIds, limit }: { surfaceIds: readonly string[]; limit: number },
): Promise<number> {
  const [row] = await sql<[{ count: number }]>`
    select count(*)::integer as count from (
      select 1 from shots
      where agency_id = ${agencyId} and project_id = ${projectId} and surface_id in ${sql(surfaceIds)}
      limit ${limit}) as counted`;
  return row.count;
}

/** Of every so many pages of the table one is looked at. */
const pagesForOne = 100;

/** About how many shots there are on surfaces: to a few percent where they are millions, anything where they are few. */
export async function estimateShots(
  sql: Transaction['sql'],
  { agencyId, projectId }: ProjectKey,
  surfaceIds: readonly string[],
): Promise<number> {
  const [row] = await sql<[{ count: number }]>`
    select count(*)::integer as count from shots tablesample system (${100 / pagesForOne}) repeatable (1)
    where agency_id = ${agencyId} and project_id = ${projectId} and surface_id in ${sql(surfaceIds)}`;
  return row.count * pagesForOne;
}
