import type { Takeoff } from '#shared/takeoff.ts';
import type { Database } from '../../../server/store/database.ts';
import type { Figure } from '../types.ts';
import { city } from './lay.ts';
import { type Call, caller, project } from './plan.ts';

/**
 * The rings of all of the city's covers: counted anew after a change, and asked for once more. Beside them stands one
 * statement that counts the rings of the same plans in SQL.
 */
export async function takeoffFigures(address: string, database: Database): Promise<Figure[]> {
  const call = caller(address);
  const [{ id }] = await database.sql<{ id: string }[]>`
    select structure_id as id from project_covers
    where agency_id = ${city.agencyId} and project_id = ${city.projectId} order by structure_id limit 1`;
  const anew: number[] = [];
  let counted: Takeoff | null = null;
  for (const crew of ['North', 'South', null]) {
    await call('POST', `${project}/covers/assign`, { selection: { ids: [id] }, crew });
    const taken = await takeoffSeconds(call);
    anew.push(taken.seconds);
    counted = taken.found;
  }
  const { covers, totals } = counted!;
  const again = await takeoffSeconds(call);
  const plain = await plainSeconds(database);
  if (plain.rings !== totals.needed + totals.built)
    throw new Error(`The takeoff has ${totals.needed + totals.built} rings, the plans ${plain.rings}`);
  const figure = (name: string, seconds: number): Figure => ({
    name,
    perSecond: covers / seconds,
    microseconds: (1e6 * seconds) / covers,
    unit: 'covers',
    beside: 'rings of the same plans, counted in SQL',
    ratio: plain.seconds / seconds,
    aim: undefined,
  });
  const best = Math.min(...anew);
  return [
    figure(`takeoff by street of ${covers} covers, ${Math.round(best * 1000)} ms after a change`, best),
    figure(`the same asked for again, ${Math.round(again.seconds * 1000)} ms`, again.seconds),
  ];
}

async function takeoffSeconds(call: Call): Promise<{ found: Takeoff; seconds: number }> {
  const start = performance.now();
  const found = await call<Takeoff>('GET', `${project}/takeoff?by=street`);
  return { found, seconds: (performance.now() - start) / 1000 };
}

async function plainSeconds({ sql }: Database): Promise<{ rings: number; seconds: number }> {
  let best = Infinity;
  let rings = 0;
  for (let round = 0; round < 2; round++) {
    const start = performance.now();
    const rows = await sql<{ rings: number }[]>`
      select placed ->> 'ring' as ring, count(*)::integer as rings from project_covers as cover
      join plan_covers as plan on plan.agency_id = cover.agency_id and plan.project_id = cover.project_id
        and plan.structure_id = cover.structure_id and plan.revision = cover.plan_revision
      cross join lateral json_array_elements(plan.outcome -> 'stack') as placed
      where cover.agency_id = ${city.agencyId} and cover.project_id = ${city.projectId}
        and cover.status in ('raise', 'lower')
      group by 1`;
    best = Math.min(best, performance.now() - start);
    rings = rows.reduce((sum, row) => sum + row.rings, 0);
  }
  return { rings, seconds: best / 1000 };
}
