import { setTimeout as rest } from 'node:timers/promises';
import type { Database } from '../../../server/store/database.ts';
import { seeded } from '../../helpers/corridor.ts';
import type { Figure } from '../types.ts';
import { city } from './lay.ts';
import { caller, planCity, project } from './plan.ts';
import { figure, milliseconds, quantile } from './tiles.ts';

/** People who work with the register while a plan of the whole city runs, and how long each looks at an answer. */
const clerks = 40;
const restMs = 400;
const register = `/api/agencies/${city.agencyId}`;

interface Cover {
  id: string;
  lon: number;
  lat: number;
}

/** What they ask for, an answer for a place in the table, a search, a card or a tile; each as often as it stands here. */
const reads: ((cover: Cover) => string)[] = [
  () => project,
  ({ id }) => `${project}/covers/${encodeURIComponent(id)}`,
  ({ id }) => `${project}/covers/${encodeURIComponent(id)}`,
  ({ id }) => `${register}/structures/${encodeURIComponent(id)}`,
  () => `${project}/covers?limit=200`,
  () => `${project}/covers?limit=200&status=raise`,
  ({ id }) => `${register}/search?q=${encodeURIComponent(id)}`,
  ({ lon, lat }) => `${project}/covers?limit=200&polygon=${encodeURIComponent(square(lon, lat))}`,
];

/** Corners of a square of some 200 m about a place. */
const square = (lon: number, lat: number): string =>
  [
    [-1, -1],
    [1, -1],
    [1, 1],
    [-1, 1],
  ]
    .map(([e, n]) => `${(lon + 0.001 * e).toFixed(6)},${(lat + 0.001 * n).toFixed(6)}`)
    .join(' ');

/**
 * How long answers take while a plan of the whole city runs: of what people look at, and of changes to the register. The
 * city is planned anew with another tolerance, so that every cover is.
 */
export async function apiFigures(address: string, database: Database): Promise<Figure[]> {
  const covers = await drawCovers(database);
  const call = caller(address);
  const quiet = await work(address, covers, rest(5000));
  await setTolerance(address, 0.0065);
  const busy = await work(address, covers, planCity(address, call));
  await setTolerance(address, null);
  return (['read', 'changed'] as const).flatMap((kind) =>
    [0.5, 0.99].map((share) => {
      const name = `API during a plan, ${busy[kind].length} answers ${kind}, ${busy.faults} errors, p${100 * share}`;
      return figure(name, quantile(busy[kind], share), {
        beside: 'the same without a plan',
        besideMs: quantile(quiet[kind], share),
        aim: share === 0.99 ? 'under 300,000 µs' : undefined,
        unit: 'answers',
      });
    }),
  );
}

/** Another tolerance than before makes every plan a new one. */
async function setTolerance(address: string, toleranceM: number | null): Promise<void> {
  const url = new URL(project, address);
  const etag = (await fetch(url)).headers.get('etag')!;
  const headers = { 'content-type': 'application/json', 'if-match': etag };
  const answer = await fetch(url, {
    method: 'PATCH',
    headers,
    body: JSON.stringify({ policy: { toleranceM } }),
  });
  if (!answer.ok) throw new Error(`The tolerance was not taken: ${await answer.text()}`);
}

interface Times {
  read: number[];
  changed: number[];
  faults: number;
}

async function work(address: string, covers: readonly Cover[], until: Promise<unknown>): Promise<Times> {
  const times: Times = { read: [], changed: [], faults: 0 };
  const random = seeded(59);
  let isOver = false;
  const ends = until.finally(() => {
    isOver = true;
  });
  const send = async (path: string, init: RequestInit = {}): Promise<string> => {
    const answer = await fetch(new URL(path, address), init).catch(() => null);
    await answer?.arrayBuffer();
    if (answer?.ok !== true) times.faults += 1;
    return answer?.headers.get('etag') ?? '';
  };
  const change = async (path: string): Promise<void> => {
    const headers = { 'content-type': 'application/json', 'if-match': await send(path) };
    const body = JSON.stringify({ owner: `Water ${Math.floor(1e6 * random())}` });
    times.changed.push(await milliseconds(() => send(path, { method: 'PATCH', headers, body })));
  };
  const clerk = async () => {
    await rest(restMs * random());
    while (!isOver) {
      const cover = covers[Math.floor(random() * covers.length)];
      if (random() < 0.05) {
        await change(`${register}/structures/${encodeURIComponent(cover.id)}`);
      } else {
        const path = reads[Math.floor(random() * reads.length)](cover);
        times.read.push(await milliseconds(() => send(path)));
      }
      await rest(restMs);
    }
  };
  await Promise.all([...Array.from({ length: clerks }, clerk), ends]);
  return times;
}

/** Covers all over the project. */
const drawCovers = ({ sql }: Database): Promise<Cover[]> => sql<Cover[]>`
  select structure_id as id, lon, lat from project_covers
  join structures using (agency_id, structure_id)
  where agency_id = ${city.agencyId} and project_id = ${city.projectId} and hashtext(structure_id) % 100 = 0
  order by structure_id`;
