import type { Condition } from '#core/plan/types.ts';
import { cellsInRow } from '../cell.ts';
import { copyOut, type RowReader } from '../copyOut.ts';
import { literal, type Transaction } from '../transaction.ts';
import type { CellRun } from './cellRuns.ts';

interface ProjectKey {
  agencyId: string;
  projectId: string;
}

/** A cover as planning reads it. Lengths in metres, bearings in degrees. */
export interface CoverInput {
  structureId: string;
  kind: string;
  street: string | null;
  eastingM: number;
  northingM: number;
  seatElevationM: number | null;
  seatGradientEast: number;
  seatGradientNorth: number;
  rimElevationM: number | null;
  frameHeightM: number;
  rimDiameterM: number;
  /** The register's own. */
  roadBearingDeg: number | null;
  /** Of the street's centre line. */
  streetBearingDeg: number | null;
  setDownM: number;
  adjustment: 'rings' | 'telescoping';
  condition: Condition;
  before: PlannedBefore;
}

/** What the plan in force says of a cover, as far as the next one asks. */
export interface PlannedBefore {
  inputsHash: number | null;
  outcomeHash: number | null;
  /** The stack stands in the field: its plan is not to be written over. */
  isStacked: boolean;
  isStale: boolean;
}

/** Field statuses from which on a stack is there. */
export const stackedStatuses = ['stacked', 'set', 'offGrade', 'accepted'];

const columns = `cover.structure_id, structure.kind, structure.street, cover.easting_m, cover.northing_m,
  structure.seat_elevation_m, structure.seat_gradient_east, structure.seat_gradient_north, structure.rim_elevation_m,
  structure.frame_height_m, structure.rim_diameter_m, structure.road_bearing_deg, cover.road_bearing_deg,
  structure.set_down_m, structure.adjustment, structure.located, structure.chimney_unsound, structure.frame_unsound,
  cover.inputs_hash, cover.outcome_hash, coalesce(cover.field_status in (${stackedStatuses.map(literal).join(', ')}), false),
  cover.plan_stale`;

/** Every cell of the grid. */
export const everyCell: CellRun = { from: -(2 ** 53), to: 2 ** 53 };

/** Covers of a project in the given cells, in no order. */
export async function readCovers(
  sql: Transaction['sql'],
  key: ProjectKey,
  runs: readonly CellRun[],
): Promise<CoverInput[]> {
  return readWhere(sql, key, runs.map(({ from, to }) => `cover.cell between ${from} and ${to}`).join(' or '));
}

/** About so many covers of a project, always the same ones, spread over all of it. */
export async function sampleCovers(
  sql: Transaction['sql'],
  key: ProjectKey,
  count: number,
): Promise<CoverInput[]> {
  const [{ covers }] = await sql<[{ covers: number }]>`
    select count(*)::integer as covers from project_covers
    where agency_id = ${key.agencyId} and project_id = ${key.projectId}`;
  const every = Math.max(1, Math.floor(covers / count));
  return readWhere(sql, key, `hashtext(cover.structure_id) % ${every} = 0`);
}

/** Covers by rows of cells, south to north. */
export async function countCoversByRow(
  sql: Transaction['sql'],
  { agencyId, projectId }: ProjectKey,
): Promise<{ row: number; covers: number }[]> {
  return sql<{ row: number; covers: number }[]>`
    select (cell / ${cellsInRow}::bigint)::integer as row, count(*)::integer as covers from project_covers
    where agency_id = ${agencyId} and project_id = ${projectId}
    group by 1 order by 1`;
}

async function readWhere(
  sql: Transaction['sql'],
  { agencyId, projectId }: ProjectKey,
  within: string,
): Promise<CoverInput[]> {
  const covers: CoverInput[] = [];
  const query = `select ${columns} from project_covers as cover
    join structures as structure on structure.agency_id = cover.agency_id
      and structure.structure_id = cover.structure_id
    where cover.agency_id = ${literal(agencyId)} and cover.project_id = ${literal(projectId)} and (${within})`;
  await copyOut(sql, query, (row) => covers.push(readCover(row)));
  return covers;
}

function readCover(row: RowReader): CoverInput {
  return {
    structureId: row.text(),
    kind: row.text(),
    street: row.textOrNull(),
    eastingM: row.double(),
    northingM: row.double(),
    seatElevationM: row.doubleOrNull(),
    seatGradientEast: row.double(),
    seatGradientNorth: row.double(),
    rimElevationM: row.doubleOrNull(),
    frameHeightM: row.double(),
    rimDiameterM: row.double(),
    roadBearingDeg: row.doubleOrNull(),
    streetBearingDeg: row.doubleOrNull(),
    setDownM: row.double(),
    adjustment: row.text() as CoverInput['adjustment'],
    condition: {
      located: row.boolOrNull(),
      chimneyUnsound: row.boolOrNull(),
      frameUnsound: row.boolOrNull(),
    },
    before: {
      inputsHash: row.bigOrNull(),
      outcomeHash: row.bigOrNull(),
      isStacked: row.boolOrNull()!,
      isStale: row.boolOrNull()!,
    },
  };
}
