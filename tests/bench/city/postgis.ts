import { execFileSync } from 'node:child_process';
import { chownSync, existsSync, mkdirSync, readdirSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import { pipeline } from 'node:stream/promises';
import postgres from 'postgres';
import type { Database } from '../../../server/store/database.ts';
import type { TileAddress } from '../../../server/store/tiles/area.ts';
import { city } from './lay.ts';

/** The rows of the tiles in a PostgreSQL with PostGIS, as one would lay them out for it: flat, in order, with GiST. */
export interface PostgisTiles {
  version: string;
  /** The tile of a project, or of the whole agency, of raw covers at every zoom. */
  tile(projectId: string | null, address: TileAddress): Promise<Uint8Array>;
  stop(): Promise<void>;
}

/** Where Debian puts a PostgreSQL that has PostGIS; null where there is none. */
function findBinaries(): string | null {
  const root = '/usr/lib/postgresql';
  const versions = existsSync(root) ? readdirSync(root) : [];
  const found = versions.find((version) =>
    existsSync(`/usr/share/postgresql/${version}/extension/postgis.control`),
  );
  return found ? `${root}/${found}/bin` : null;
}

/** null where no PostGIS is installed: nothing else of Rimplane uses it. */
export async function startPostgis(folder: string, from: Database): Promise<PostgisTiles | null> {
  const binaries = findBinaries();
  if (!binaries) return null;
  mkdirSync(folder);
  const isRoot = process.getuid?.() === 0;
  if (isRoot) {
    const numberOf = (what: string) => Number(execFileSync('id', [what, 'postgres']).toString());
    chownSync(folder, numberOf('-u'), numberOf('-g'));
  }
  const run = (command: string, args: string[]) => {
    const line = [join(binaries, command), ...args];
    const [program, ...rest] = isRoot ? ['runuser', '-u', 'postgres', '--', ...line] : line;
    execFileSync(program, rest, { stdio: 'ignore' });
  };
  const data = join(folder, 'data');
  run('initdb', ['-D', data, '-A', 'trust', '-U', 'bench']);
  run('pg_ctl', [
    '-D',
    data,
    '-w',
    '-l',
    join(folder, 'log'),
    '-o',
    `-k ${folder} -c listen_addresses=`,
    'start',
  ]);
  const sql = postgres({ host: folder, database: 'postgres', username: 'bench', onnotice: () => {} });
  await layRows(sql, from);
  const [{ version }] = await sql`select postgis_lib_version() as version`;
  return {
    version,
    tile: (projectId, { z, x, y }) => askTile(sql, projectId, [z, x, y]),
    stop: async () => {
      await sql.end();
      run('pg_ctl', ['-D', data, '-m', 'fast', '-w', 'stop']);
      rmSync(folder, { recursive: true, force: true });
    },
  };
}

const columns =
  'feature_id, structure_id, project_id, leads, place, y, kind, owner, street, status, net_buildup_m';

async function layRows(sql: postgres.Sql, { sql: from }: Database): Promise<void> {
  await sql`create extension postgis`;
  await sql`create table covers (feature_id bigint, structure_id text, project_id text, leads boolean, place bigint,
    y integer, kind text, owner text, street text, status text, net_buildup_m double precision)`;
  const rows = await from
    .unsafe(
      `copy (select ${columns} from tile_covers where agency_id = '${city.agencyId}' order by place) to stdout`,
    )
    .readable();
  await pipeline(rows, await sql.unsafe('copy covers from stdin').writable());
  await sql.unsafe(`alter table covers add geom geometry(Point, 3857) generated always as (st_setsrid(st_point(
    ((place & 1073741823) + 0.5) / 1073741824.0 * 40075016.685578488 - 20037508.342789244,
    20037508.342789244 - (y + 0.5) / 1073741824.0 * 40075016.685578488), 3857)) stored`);
  await sql`create index on covers using gist (geom)`;
  await sql`cluster covers using covers_geom_idx`;
  await sql`vacuum analyze covers`;
}

async function askTile(
  sql: postgres.Sql,
  projectId: string | null,
  [z, x, y]: number[],
): Promise<Uint8Array> {
  const only = projectId === null ? sql`leads` : sql`project_id = ${projectId}`;
  const [row] = await sql<{ tile: Uint8Array }[]>`
    with found as (
      select st_asmvtgeom(geom, st_tileenvelope(${z}, ${x}, ${y}), 4096, 160) as geom, feature_id, structure_id as id,
        status, kind, owner, street, net_buildup_m as "netBuildupM"
      from covers
      where ${only} and geom && st_tileenvelope(${z}, ${x}, ${y}, margin => 160.0 / 4096)
      order by feature_id
    ) select st_asmvt(found, 'covers', 4096, 'geom', 'feature_id') as tile from found`;
  return row.tile;
}
