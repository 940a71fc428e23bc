import { readFileSync } from 'node:fs';
import { chmod, mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { startEmbeddedPostgres } from '../../../server/embedded/cluster.ts';
import { user } from '../../../server/embedded/make.ts';
import { choosePlace } from '../../../server/embedded/place.ts';
import { openDatabase } from '../../../server/store/database.ts';
import { migrate } from '../../../server/store/migrate.ts';
import { startServerProcess } from '../../helpers/server-process.ts';
import type { Figure } from '../types.ts';
import { layCity } from './lay.ts';
import { readSize } from './layout.ts';
import { planFigures } from './plan.ts';
import { startPostgis } from './postgis.ts';
import { coldFigures, loadFigures, sameFigures } from './tiles.ts';

/**
 * A whole city through a real server: planned, then drawn in tiles beside PostGIS, then looked at by many. `--seconds=60` is
 * how long they look; the size is as in `into.ts`.
 */
export async function cityFigures(args: readonly string[]): Promise<Figure[]> {
  const seconds = Number(/--seconds=(\d+)/.exec(args.join(' '))?.[1] ?? 60);
  const folder = await mkdtemp(join(tmpdir(), 'rimplane-city-'));
  await chmod(folder, 0o755);
  const data = join(folder, 'data');
  try {
    await lay(data, args);
    return await measure({ data, folder, seconds });
  } finally {
    await rm(folder, { recursive: true, force: true });
  }
}

async function lay(data: string, args: readonly string[]): Promise<void> {
  const own = await startEmbeddedPostgres(data);
  const database = openDatabase(own.target);
  await migrate(database);
  await layCity(database, readSize(args));
  await database.close();
  await own.stop();
}

interface Setting {
  data: string;
  folder: string;
  seconds: number;
}

async function measure({ data, folder, seconds }: Setting): Promise<Figure[]> {
  const server = startServerProcess({ DATA_DIR: data, DEMO: 'off' });
  try {
    const address = await server.address;
    const place = { socketFolder: choosePlace(data).socketFolder, port: 5432, database: 'postgres', user };
    const database = openDatabase(place);
    const figures: Figure[] = [];
    figures.push(
      ...(await planFigures({ address, database, memory: () => peakMegabytes(server.child.pid!) })),
    );
    const postgis = await startPostgis(join(folder, 'postgis'), database);
    figures.push(...(await coldFigures(database, postgis)));
    await postgis?.stop();
    figures.push(...(await sameFigures(address, database)));
    figures.push(...(await loadFigures(address, database, seconds)));
    await database.close();
    return figures;
  } finally {
    server.child.kill('SIGINT');
    await server.ended;
  }
}

/** Most memory that the process had resident, where the system tells. */
function peakMegabytes(pid: number): number | null {
  try {
    return Number(/VmHWM:\s+(\d+)/.exec(readFileSync(`/proc/${pid}/status`, 'utf8'))![1]) / 1024;
  } catch {
    return null;
  }
}
