import { type Kysely, sql } from 'kysely';
import type { NightProgress } from '#shared/plots.ts';
import { keeper } from './kept.ts';
import { hasStack, lengthSlack, shownStatus } from './selection.ts';
import type { Tables } from './tables.ts';
import { findProjectRevision } from './tiles/summary.ts';

interface ProjectKey {
  agencyId: string;
  projectId: string;
}

/** Covers by the number of the bin that their value lies in, null for those without one. */
export type BinCounts = { bin: number | null; covers: number }[];

export interface CoverDistributions {
  netBuildup: BinCounts;
  worst: BinCounts;
  nights: NightProgress[];
}

/** One pass over the covers: net buildup and worst rim error in bins of a width, metres, and statuses by night. */
export async function countDistributions(
  db: Kysely<Tables>,
  { agencyId, projectId }: ProjectKey,
  binM: { netBuildup: number; worst: number },
): Promise<CoverDistributions> {
  const bin = (column: string, width: number) =>
    sql`floor((${sql.ref(column)} + ${sql.lit(lengthSlack)}) / ${sql.lit(width)})::int`;
  const { rows } = await sql<{
    buildup: number | null;
    worst: number | null;
    night: string | null;
    status: string | null;
    covers: number;
    of: number;
  }>`
    select buildup, worst, night, status, sum(covers)::integer as covers,
      grouping(buildup, worst, night, status) as of
    from (
      select buildup, worst, night, status, count(*) as covers from (
      select ${bin('net_buildup_m', binM.netBuildup)} as buildup, case when ${hasStack} then ${bin('worst_m', binM.worst)} end as worst, cover.night,
        ${shownStatus} as status
      from project_covers as cover where agency_id = ${agencyId} and project_id = ${projectId}
      ) as cover group by 1, 2, 3, 4
    ) as cover
    group by grouping sets ((buildup), (worst), (night, status))`.execute(db);
  // A bit is set for each column that a row is not grouped by, the first column in the highest.
  const grouped = (of: number) => rows.filter((row) => row.of === of);
  return {
    netBuildup: grouped(0b0111).map(({ buildup, covers }) => ({ bin: buildup, covers })),
    worst: grouped(0b1011).map(({ worst, covers }) => ({ bin: worst, covers })),
    nights: byNight(grouped(0b1100)),
  };
}

function byNight(
  rows: readonly { night: string | null; status: string | null; covers: number }[],
): NightProgress[] {
  const nights = new Map<string | null, NightProgress>();
  for (const { night, status, covers } of rows) {
    const found = nights.get(night) ?? { night, covers: 0, byStatus: {} };
    found.covers += covers;
    found.byStatus[status!] = covers;
    nights.set(night, found);
  }
  const last = '9999-99-99';
  return [...nights.values()].sort((a, b) => ((a.night ?? last) < (b.night ?? last) ? -1 : 1));
}

/** Chimneys of the covers of one street as they stand, in whole steps of a width and rising order. */
export interface StreetBuildup {
  street: string | null;
  steps: number[];
  /** Covers whose rim was never measured. */
  unknown: number;
}

const buildups = keeper<StreetBuildup[]>();

/** Every change to the register shows in the revisions of the tiles that it is in: till then the last count stands. */
export async function countBuildupByStreet(
  db: Kysely<Tables>,
  key: ProjectKey,
  stepM: number,
): Promise<StreetBuildup[]> {
  const token = await findProjectRevision(db, key);
  const name = JSON.stringify([key.agencyId, key.projectId, stepM]);
  return buildups(db, { name, token }, () => readBuildupByStreet(db, key, stepM));
}

async function readBuildupByStreet(
  db: Kysely<Tables>,
  { agencyId, projectId }: ProjectKey,
  stepM: number,
): Promise<StreetBuildup[]> {
  // A row a street: the heights of a city are as many as its covers. Texts are quicker to read than lists.
  const { rows } = await sql<{ street: string | null; steps: string | null; covers: number }>`
    select structure.street, count(*)::integer as covers,
      string_agg(round(structure.buildup_m / ${sql.lit(stepM)})::int::text, ',') as steps
    from project_covers as cover
    join structures as structure
      on structure.agency_id = cover.agency_id and structure.structure_id = cover.structure_id
    where cover.agency_id = ${agencyId} and cover.project_id = ${projectId} and structure.agency_id = ${agencyId}
    group by 1 order by 1`.execute(db);
  return rows.map(({ street, steps: text, covers }) => {
    const steps = text === null ? [] : text.split(',').map(Number);
    return { street, steps: steps.sort((a, b) => a - b), unknown: covers - steps.length };
  });
}
