import type { CoverCard } from '#shared/cover.ts';
import type { Job } from '#shared/job.ts';
import type { Database } from '../../../server/store/database.ts';
import type { Figure } from '../types.ts';
import { city } from './lay.ts';

export const project = `/api/agencies/${city.agencyId}/projects/${city.projectId}`;
/** Round which shots are joined to a cover, metres. */
const joinReach = 15;
const changes = 8;

interface CityServer {
  address: string;
  database: Database;
  /** Most memory that the server had, MB; null where the system does not tell. */
  memory: () => number | null;
}

/**
 * A plan of the whole city through a running server, and one after a single shot was changed. Beside them stands the bare
 * join of the same covers with the shots within 15 m, through a GiST index on points that is made for it and not counted.
 */
export async function planFigures({ address, database, memory }: CityServer): Promise<Figure[]> {
  const call = caller(address);
  const { job, seconds } = await planCity(address, call);
  if (job.state !== 'done') throw new Error(`The plan ended as ${job.state}: ${job.error}`);
  const join = await joinSeconds(database);
  const again: number[] = [];
  for (let change = 0; change < changes; change++)
    again.push(await changeOneShot({ address, call, database }, change));
  again.sort((a, b) => a - b);
  const mb = memory();
  const name = 'GiST join of covers and shots within 15 m';
  return [
    figure(`plan of the city, ${mb === null ? '' : `${Math.round(mb)} MB at most`}`, {
      ...{ count: job.planned, unit: 'covers', seconds },
      ...{ beside: name, besideSeconds: join },
      aim: 'at most 3 times the join: 0.33 x, under 1200 MB',
    }),
    figure('from one changed shot to the new tile, median', {
      ...{ count: 1, unit: 'changes', seconds: again[changes / 2] },
      ...{ beside: 'plan of the city', besideSeconds: seconds },
      aim: 'under 300,000 µs',
    }),
    figure('from one changed shot to the new tile, slowest', {
      ...{ count: 1, unit: 'changes', seconds: again[changes - 1] },
      ...{ beside: 'plan of the city', besideSeconds: seconds },
      aim: 'under 300,000 µs',
    }),
  ];
}

interface Taken {
  count: number;
  unit: string;
  seconds: number;
  beside: string;
  besideSeconds: number;
  aim: string;
}

const figure = (name: string, { count, unit, seconds, beside, besideSeconds, aim }: Taken): Figure => ({
  name,
  perSecond: count / seconds,
  microseconds: (1e6 * seconds) / count,
  unit,
  beside,
  ratio: besideSeconds / seconds,
  aim,
});

export type Call = <Body>(method: string, path: string, payload?: unknown) => Promise<Body>;

export function caller(address: string): Call {
  return async (method, path, payload) => {
    const response = await fetch(new URL(path, address), {
      method,
      headers: payload === undefined ? {} : { 'content-type': 'application/json' },
      body: payload === undefined ? undefined : JSON.stringify(payload),
    });
    const text = await response.text();
    if (!response.ok) throw new Error(`${method} ${path}: ${response.status} ${text.slice(0, 300)}`);
    return (text === '' ? null : JSON.parse(text)) as never;
  };
}

export async function planCity(address: string, call: Call): Promise<{ job: Job; seconds: number }> {
  const start = performance.now();
  const { id } = await call<Job>('POST', `${project}/plans`);
  const path = `/api/agencies/${city.agencyId}/jobs/${id}`;
  const events = await fetch(new URL(`${path}/events`, address));
  let text = '';
  for await (const piece of events.body!.pipeThrough(new TextDecoderStream())) {
    text += piece;
    if (/"state":"(done|failed|cancelled)"/.test(text)) break;
  }
  const seconds = (performance.now() - start) / 1000;
  return { job: await call<Job>('GET', path), seconds };
}

async function joinSeconds({ sql }: Database): Promise<number> {
  await sql.unsafe('create index bench_shot_places on shots using gist (point(easting_m, northing_m))');
  try {
    let best = Infinity;
    for (let round = 0; round < 2; round++) {
      const start = performance.now();
      await sql`
        select count(*), sum(shots.elevation_m) from project_covers as cover
        join shots on shots.agency_id = cover.agency_id and shots.project_id = cover.project_id
          and point(shots.easting_m, shots.northing_m)
            <@ circle(point(cover.easting_m, cover.northing_m), ${joinReach})
        where cover.agency_id = ${city.agencyId} and cover.project_id = ${city.projectId}`;
      best = Math.min(best, performance.now() - start);
    }
    return best / 1000;
  } finally {
    await sql.unsafe('drop index bench_shot_places');
  }
}

/** Seconds from sending the change to having the tile of zoom 16 with what came of it. */
export async function changeOneShot(
  { address, call, database: { sql } }: { address: string; call: Call; database: Database },
  change: number,
): Promise<number> {
  const [{ id }] = await sql<{ id: string }[]>`
    with raised as (
      select structure_id, row_number() over (order by structure_id) as place, count(*) over () as raised
      from project_covers
      where agency_id = ${city.agencyId} and project_id = ${city.projectId} and status = 'raise'
    )
    select structure_id as id from raised where place = floor(raised * ${(change + 1) / (changes + 1)}::double precision)`;
  const { structure, shots } = await call<CoverCard>('GET', `${project}/covers/${encodeURIComponent(id)}`);
  const tile = tileOf(structure.lon, structure.lat);
  const before = await tagOf(address, tile);
  const { surface, point, eastingM, northingM, elevationM } = shots[0];
  const seen = { eastingM, northingM, elevationM };
  const start = performance.now();
  await call('PATCH', `${project}/surfaces/${surface}/shots/${encodeURIComponent(point)}`, {
    seen,
    // Little enough to be no blunder.
    elevationM: elevationM + 0.002,
    why: 'Changed by the benchmark',
  });
  const { job } = await planCity(address, call);
  const after = await tagOf(address, tile);
  const seconds = (performance.now() - start) / 1000;
  if (job.planned === 0 || before === after) throw new Error('The changed shot changed nothing');
  return seconds;
}

/** Path of the tile of zoom 16 that a place lies in. */
function tileOf(lon: number, lat: number): string {
  const side = 2 ** 16;
  const x = Math.floor((lon / 360 + 0.5) * side);
  const y = Math.floor((0.5 - Math.asinh(Math.tan((lat * Math.PI) / 180)) / (2 * Math.PI)) * side);
  return `/tiles/covers/16/${x}/${y}.mvt?agency=${city.agencyId}&project=${city.projectId}`;
}

/** Fetches a tile whole; gives its tag. */
async function tagOf(address: string, tile: string): Promise<string | null> {
  const response = await fetch(new URL(tile, address));
  await response.arrayBuffer();
  if (response.status !== 200) throw new Error(`${tile}: ${response.status}`);
  return response.headers.get('etag');
}
