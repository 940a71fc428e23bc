import type { Database } from '../../../server/store/database.ts';
import type { TileAddress } from '../../../server/store/tiles/area.ts';
import { firstCoverZoom } from '../../../server/store/tiles/places.ts';
import { TileServer } from '../../../server/tiles/serve.ts';
import { seeded } from '../../helpers/corridor.ts';
import type { Figure } from '../types.ts';
import { ask } from './ask.ts';
import { city } from './lay.ts';
import type { PostgisTiles } from './postgis.ts';

const tileCount = 300;
const zooms = [10, 11, 12, 13, 14, 15, 16];
const none = { statuses: null, kind: null, owner: null, street: null, outside: null };

export interface Asked {
  projectId: string | null;
  address: TileAddress;
}

/** Tiles round random structures, of the project and of the whole agency in turn, and never one twice in a row. */
export async function drawTiles({ sql }: Database, count = tileCount): Promise<Asked[]> {
  const random = seeded(47);
  const [x, y] = ['place & 1073741823', 'y'];
  const places = await sql.unsafe<{ x: number; y: number; project_id: string }[]>(
    `select (${x})::integer as x, ${y} as y, project_id from tile_covers where agency_id = $1 order by structure_id`,
    [city.agencyId],
  );
  const covers = places.filter((place) => place.project_id === city.projectId);
  return Array.from({ length: count }, (_, index) => {
    const isOfProject = index % 2 === 0;
    const from = isOfProject ? covers : places;
    const place = from[Math.floor(random() * from.length)];
    const z = zooms[index % zooms.length];
    const side = 2 ** (30 - z);
    const address = { z, x: Math.floor(place.x / side), y: Math.floor(place.y / side) };
    return { projectId: isOfProject ? city.projectId : null, address };
  });
}

/**
 * Random tiles, each made anew: read and encoded here, by ST_AsMVT there, one after the other so that both meet the same
 * disturbances. Both end in bytes in this process, without HTTP.
 */
export async function coldFigures(database: Database, postgis: PostgisTiles | null): Promise<Figure[]> {
  const asked = await drawTiles(database);
  const times = asked.map((): { ours: number; theirs: number | null } => ({ ours: 0, theirs: null }));
  for (let round = 0; round < 2; round++) {
    // The first round warms code and buffers on both sides; tiles themselves are not kept.
    const server = new TileServer(database, 0);
    for (const [index, { projectId, address }] of asked.entries()) {
      times[index].ours = await milliseconds(() =>
        server.answer({
          scope: { agencyId: city.agencyId, projectId },
          filter: none,
          address,
          coding: 'identity',
          known: undefined,
        }),
      );
      // A tile of half a city takes PostGIS seconds: of those it makes a quarter, once.
      const isTheirs = address.z >= firstCoverZoom || (round === 1 && index % 4 === 0);
      if (postgis && isTheirs)
        times[index].theirs = await milliseconds(() => postgis.tile(projectId, address));
    }
  }
  const beside = postgis ? `PostGIS ${postgis.version} ST_AsMVT` : 'PostGIS: absent';
  const of = (isRaw: boolean) =>
    times.filter((_, index) => asked[index].address.z >= firstCoverZoom === isRaw);
  return [true, false].flatMap((isRaw) =>
    [0.5, 0.95].map((share) => {
      const chosen = of(isRaw);
      const ours = quantile(
        chosen.map((time) => time.ours),
        share,
      );
      const theirs = quantile(
        chosen.flatMap((time) => time.theirs ?? []),
        share,
      );
      const name = `cold tile, zoom ${isRaw ? '13-16' : '10-12'}, p${100 * share}`;
      return figure(name, ours, { beside, besideMs: theirs, aim: isRaw ? 'at least 1 x' : 'at least 10 x' });
    }),
  );
}

/** Tiles that the asker has already, through the whole server. */
export async function sameFigures(address: string, database: Database): Promise<Figure[]> {
  const asked = await drawTiles(database, 140);
  const paths = asked.map((each) => new URL(pathOf(each), address).href);
  const known = new Map<string, string>();
  const first: number[] = [];
  for (const path of paths)
    first.push(await milliseconds(async () => void known.set(path, await tagOf(path))));
  const again: number[] = [];
  // As with cold tiles the first round warms code and plans of the database; a server that was just started is no usual one.
  for (let round = 0; round < 4; round++) {
    for (const path of paths) {
      const took = await milliseconds(async () => {
        const { status } = await ask(path, { 'if-none-match': known.get(path)! });
        if (status !== 304) throw new Error(`${path}: ${status}, and nothing changed`);
      });
      if (round > 0) again.push(took);
    }
  }
  return [0.5, 0.95].map((share) =>
    figure(`tile that is there already (304), p${100 * share}`, quantile(again, share), {
      beside: 'the same tiles the first time, over HTTP',
      besideMs: quantile(first, share),
      aim: 'under 2,000 µs',
    }),
  );
}

export function pathOf({ projectId, address: { z, x, y } }: Asked): string {
  const project = projectId === null ? '' : `&project=${projectId}`;
  return `/tiles/covers/${z}/${x}/${y}.mvt?agency=${city.agencyId}${project}`;
}

async function tagOf(path: string): Promise<string> {
  const { status, etag } = await ask(path);
  if (etag === undefined) throw new Error(`${path}: ${status}`);
  return etag;
}

export async function milliseconds(work: () => Promise<unknown>): Promise<number> {
  const start = performance.now();
  await work();
  return performance.now() - start;
}

export function quantile(times: readonly number[], share: number): number {
  if (times.length === 0) return Number.NaN;
  const sorted = times.toSorted((a, b) => a - b);
  return sorted[Math.min(sorted.length - 1, Math.floor(share * sorted.length))];
}

export function figure(
  name: string,
  ms: number,
  {
    beside,
    besideMs,
    aim,
    unit = 'tiles',
  }: { beside: string; besideMs: number; aim: string | undefined; unit?: string },
): Figure {
  return {
    name,
    perSecond: 1000 / ms,
    microseconds: 1000 * ms,
    unit,
    beside,
    ratio: besideMs / ms,
    aim,
  };
}
