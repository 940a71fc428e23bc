import { existsSync, readFileSync } from 'node:fs';
import { chmod, mkdir, mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { startEmbeddedPostgres } from '../../../server/embedded/cluster.ts';
import { user } from '../../../server/embedded/make.ts';
import { choosePlace } from '../../../server/embedded/place.ts';
import { type Database, openDatabase } from '../../../server/store/database.ts';
import { migrate } from '../../../server/store/migrate.ts';
import { startServerProcess } from '../../helpers/server-process.ts';
import type { Figure } from '../types.ts';
import { apiFigures } from './api.ts';
import { layCity } from './lay.ts';
import { readSize } from './layout.ts';
import { loadFigures } from './load.ts';
import { planFigures } from './plan.ts';
import { startPostgis } from './postgis.ts';
import { takeoffFigures } from './takeoff.ts';
import { coldFigures, sameFigures } from './tiles.ts';

/** What is measured, in this order: later parts may ask for what earlier ones made of the city. */
const parts = ['plan', 'takeoff', 'cold', 'same', 'api', 'load'] as const;
type Part = (typeof parts)[number];

interface Choices {
  seconds: number;
  only: readonly Part[];
  /** A folder that stays, so that the same city is measured again; null for one that goes. */
  kept: string | null;
}

/**
 * A whole city through a real server: planned, its rings counted, then drawn in tiles beside PostGIS, then worked with while it is planned
 * again, then looked at by many. `--seconds=60` is how long they look; the size is as in `into.ts`. `--only=load,api` takes
 * those figures alone; `--keep=FOLDER` lays the city there and leaves it, or takes the one that is there.
 */
export async function cityFigures(args: readonly string[]): Promise<Figure[]> {
  const { seconds, only, kept } = readChoices(args);
  const folder = kept ?? (await mkdtemp(join(tmpdir(), 'rimplane-city-')));
  const data = join(folder, 'data');
  try {
    if (!existsSync(data)) {
      await mkdir(folder, { recursive: true });
      await chmod(folder, 0o755);
      await lay(data, args);
    }
    return await measure({ data, folder, seconds, only });
  } finally {
    if (kept === null) await rm(folder, { recursive: true, force: true });
  }
}

export function readChoices(args: readonly string[]): Choices {
  const given = (name: string) => args.find((arg) => arg.startsWith(`--${name}=`))?.slice(name.length + 3);
  const only = given('only')?.split(',') ?? [...parts];
  const unknown = only.find((part) => !parts.includes(part as Part));
  if (unknown !== undefined) throw new Error(`--only: "${unknown}" is none of ${parts.join(', ')}`);
  return { seconds: Number(given('seconds') ?? 60), only: only as Part[], kept: given('keep') ?? null };
}

async function lay(data: string, args: readonly string[]): Promise<void> {
  const own = await startEmbeddedPostgres(data);
  const database = openDatabase(own.target);
  await migrate(database);
  await layCity(database, readSize(args));
  await database.close();
  await own.stop();
}

interface Setting extends Pick<Choices, 'seconds' | 'only'> {
  data: string;
  folder: string;
}

async function measure({ data, folder, seconds, only }: Setting): Promise<Figure[]> {
  const server = startServerProcess({ DATA_DIR: data, DEMO: 'off' });
  try {
    const address = await server.address;
    const place = { socketFolder: choosePlace(data).socketFolder, port: 5432, database: 'postgres', user };
    const database = openDatabase(place);
    const memory = () => peakMegabytes(server.child.pid!);
    const take: Record<Part, () => Promise<Figure[]>> = {
      plan: () => planFigures({ address, database, memory }),
      takeoff: () => takeoffFigures(address, database),
      cold: () => besidePostgis(join(folder, 'postgis'), database),
      same: () => sameFigures(address, database),
      api: () => apiFigures(address, database),
      load: () => loadFigures(address, database, seconds),
    };
    const figures: Figure[] = [];
    for (const part of parts) if (only.includes(part)) figures.push(...(await take[part]()));
    await database.close();
    return figures;
  } finally {
    server.child.kill('SIGINT');
    await server.ended;
  }
}

async function besidePostgis(folder: string, database: Database): Promise<Figure[]> {
  const postgis = await startPostgis(folder, database);
  try {
    return await coldFigures(database, postgis);
  } finally {
    await postgis?.stop();
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
