import { once } from 'node:events';
import { createReadStream, createWriteStream, readFileSync } from 'node:fs';
import { chmod, mkdtemp, open, rm, stat } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { pipeline } from 'node:stream/promises';
import type { StagedImport } from '#shared/staged-import.ts';
import { user } from '../../server/embedded/make.ts';
import { choosePlace } from '../../server/embedded/place.ts';
import { type Database, openDatabase } from '../../server/store/database.ts';
import { seeded } from '../helpers/corridor.ts';
import { type ServerProcess, startServerProcess } from '../helpers/server-process.ts';
import type { Figure } from './types.ts';

const usualRows = 1_000_000;
const agency = '/api/agencies/city-of-tarrowmere';
const projectId = 'import-bench';

/**
 * A point file on its way through a real server: uploaded, read, stored. Storing is held against a bare COPY of the same
 * rows in the same PostgreSQL, into a table with the same keys and into one without any. `--rows=5000000` for the size
 * that is aimed at.
 */
export async function importFigures(args: readonly string[]): Promise<Figure[]> {
  const rows = Number(/--rows=(\d+)/.exec(args.join(' '))?.[1] ?? usualRows);
  const folder = await mkdtemp(join(tmpdir(), 'rimplane-bench-'));
  await chmod(folder, 0o755);
  const data = join(folder, 'data');
  await layDemo(data);
  const server = startServerProcess({ DATA_DIR: data });
  try {
    const address = await server.address;
    const file = join(folder, 'points.csv');
    await writePoints(file, rows);
    return await measure({ address, data, file, rows, folder, server });
  } finally {
    server.child.kill('SIGINT');
    await server.ended;
    await rm(folder, { recursive: true, force: true });
  }
}

/** The first start lays and plans a demo town, which the memory of an import has nothing to do with. */
async function layDemo(data: string): Promise<void> {
  const server = startServerProcess({ DATA_DIR: data });
  await server.address;
  server.child.kill('SIGINT');
  await server.ended;
}

async function writePoints(file: string, rows: number): Promise<void> {
  const random = seeded(9);
  const stream = createWriteStream(file);
  let chunk = '';
  for (let i = 0; i < rows; i++) {
    const [n, e, z] = [560_000 + 16_000 * random(), 1_430_000 + 16_000 * random(), 740 + 20 * random()];
    chunk += `${1000 + i},${n.toFixed(3)},${e.toFixed(3)},${z.toFixed(3)},${i % 5 === 0 ? 'CL' : 'FG'}\n`;
    if (chunk.length < 1 << 18) continue;
    if (!stream.write(chunk)) await once(stream, 'drain');
    chunk = '';
  }
  stream.end(chunk);
  await once(stream, 'close');
}

interface Setting {
  address: string;
  data: string;
  file: string;
  folder: string;
  rows: number;
  server: ServerProcess;
}

async function measure({ address, data, file, folder, rows, server }: Setting): Promise<Figure[]> {
  const call = caller(address);
  await call('POST', `${agency}/projects`, {
    id: projectId,
    name: 'Import bench',
    crs: 'EPSG:2264',
    elevationUnit: 'us-ft',
    displayUnit: 'in',
  });
  const atStart = peakMegabytes(server.child.pid!);
  const path = await upload(call, file);
  const readSeconds = await timed(() => rest(call, path));
  const afterRead = peakMegabytes(server.child.pid!);
  const answers = { crs: 'project', axisOrder: 'asRead', verticalUnit: 'us-ft', stage: 'finished' };
  await call('PATCH', path, { questions: answers });
  const ready = await rest(call, path);
  if (ready.state !== 'ready') throw new Error(`${ready.state}: ${ready.said}`);
  const cpuBefore = cpuSeconds(server.child.pid!);
  const storeSeconds = await timed(async () => {
    await call('POST', `${path}/commit`);
    const end = await rest(call, path);
    if (end.state !== 'stored') throw new Error(`${end.state}: ${end.said}`);
  });
  const memory = peakMegabytes(server.child.pid!);
  if (process.env.BENCH_DEBUG)
    console.log({
      atStart,
      afterRead,
      memory,
      storeCpu: cpuSeconds(server.child.pid!) - cpuBefore,
      readCpu: cpuBefore,
    });
  const database = openDatabase({
    socketFolder: choosePlace(data).socketFolder,
    port: 5432,
    database: 'postgres',
    user,
  });
  try {
    const bare = await bareCopies(database, join(folder, 'rows.copy'));
    return figures({ rows, readSeconds, storeSeconds, memory, bare });
  } finally {
    await database.close();
  }
}

type Call = (method: string, path: string, body?: object) => Promise<Response>;

function caller(address: string): Call {
  return async (method, path, body) => {
    const answer = await fetch(`${address}${path}`, {
      method,
      ...(body ? { headers: { 'content-type': 'application/json' }, body: JSON.stringify(body) } : {}),
    });
    if (!answer.ok) throw new Error(`${method} ${path}: ${await answer.text()}`);
    return answer;
  };
}

const partBytes = 8 * 2 ** 20;

async function upload(call: Call, file: string): Promise<string> {
  const { size } = await stat(file);
  const created = await call('POST', `${agency}/projects/${projectId}/imports`, {
    files: [{ name: 'points.csv', sizeBytes: size }],
  });
  const path = created.headers.get('location')!;
  const address = new URL(created.url).origin;
  const handle = await open(file);
  for (let offset = 0; offset < size; offset += partBytes) {
    const { buffer, bytesRead } = await handle.read(Buffer.alloc(partBytes), 0, partBytes, offset);
    const answer = await fetch(`${address}${path}/files/1`, {
      method: 'PATCH',
      headers: { 'content-type': 'application/partial-upload', 'upload-offset': String(offset) },
      body: buffer.subarray(0, bytesRead),
    });
    if (!answer.ok) throw new Error(await answer.text());
  }
  await handle.close();
  return path;
}

async function rest(call: Call, path: string): Promise<StagedImport> {
  for (;;) {
    const found = (await (await call('GET', path)).json()) as StagedImport;
    if (!['uploading', 'reading', 'storing'].includes(found.state)) return found;
    await new Promise((resolve) => setTimeout(resolve, 250));
  }
}

async function timed(work: () => Promise<unknown>): Promise<number> {
  const start = performance.now();
  await work();
  return (performance.now() - start) / 1000;
}

function cpuSeconds(pid: number): number {
  const f = readFileSync(`/proc/${pid}/stat`, 'utf8').split(') ')[1].split(' ');
  return (Number(f[11]) + Number(f[12])) / 100;
}

/** Most memory that the process had resident, where the system tells. */
function peakMegabytes(pid: number): number | null {
  try {
    return Number(/VmHWM:\s+(\d+)/.exec(readFileSync(`/proc/${pid}/status`, 'utf8'))![1]) / 1024;
  } catch {
    return null;
  }
}

/** Seconds of a COPY of the stored rows from a file, with the keys of `shots` and without any. */
async function bareCopies({ sql }: Database, file: string): Promise<{ keyed: number; plain: number }> {
  const columns = `agency_id, project_id, surface_id, point, ordinal, easting_m, northing_m, elevation_m, code, role,
    sigma_m, cell, import_batch_id`;
  await writeRows(sql, { columns, file });
  const copy = async (options: string) => {
    await sql.unsafe(`create table bare (like shots ${options})`);
    const seconds = await timed(async () => {
      const into = await sql.unsafe(`copy bare (${columns}) from stdin`).writable();
      await pipeline(createReadStream(file, { highWaterMark: 1 << 18 }), into);
    });
    await sql.unsafe('drop table bare');
    return seconds;
  };
  return { keyed: await copy('including indexes'), plain: await copy('') };
}

async function writeRows(
  sql: Database['sql'],
  { columns, file }: { columns: string; file: string },
): Promise<void> {
  const stream = createWriteStream(file);
  const select = `select ${columns} from shots where agency_id = $1 and project_id = $2`;
  const rows = sql.unsafe(select, ['city-of-tarrowmere', projectId]).cursor(10_000);
  for await (const batch of rows) {
    const lines = batch.map(
      (row) =>
        `${Object.values(row)
          .map((value) => value ?? '\\N')
          .join('\t')}\n`,
    );
    if (!stream.write(lines.join(''))) await once(stream, 'drain');
  }
  stream.end();
  await once(stream, 'close');
}

interface Measured {
  rows: number;
  readSeconds: number;
  storeSeconds: number;
  memory: number | null;
  bare: { keyed: number; plain: number };
}

function figures({ rows, readSeconds, storeSeconds, memory, bare }: Measured): Figure[] {
  const figure = (name: string, seconds: number, beside: [name: string, seconds: number], aim?: string) => ({
    name,
    perSecond: rows / seconds,
    microseconds: (1e6 * seconds) / rows,
    unit: 'rows',
    beside: beside[0],
    ratio: beside[1] / seconds,
    aim,
  });
  const said = memory === null ? '' : `, server memory ${Math.round(memory)} MB (aim: 400)`;
  return [
    figure(`Import read, ${rows} rows`, readSeconds, ['COPY with keys', bare.keyed]),
    figure(
      'Import stored',
      storeSeconds,
      ['bare COPY with the same keys', bare.keyed],
      `at least 0.4${said}`,
    ),
    figure('Import stored', storeSeconds, ['bare COPY without keys', bare.plain]),
  ];
}
