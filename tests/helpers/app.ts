import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { InjectOptions, LightMyRequestResponse } from 'fastify';
import { Kysely } from 'kysely';
import { PostgresJSDialect } from 'kysely-postgres-js';
import type { Job } from '#shared/job.ts';
import type { RingCatalogue } from '#shared/ring-catalogue.ts';
import { buildApp } from '../../server/app.ts';
import type { App } from '../../server/context.ts';
import { runDeletionJob } from '../../server/jobs/deletion.ts';
import { runImportJob } from '../../server/jobs/imports.ts';
import { runPlanJob } from '../../server/jobs/plan/run.ts';
import { openJobQueue } from '../../server/jobs/queue.ts';
import { insertAgency } from '../../server/store/agencies.ts';
import type { Database } from '../../server/store/database.ts';
import { openNoticeBoard } from '../../server/store/notices.ts';
import { insertProject } from '../../server/store/projects.ts';
import { insertRingCatalogue } from '../../server/store/ring-catalogues.ts';
import { insertStreets } from '../../server/store/streets.ts';
import type { Tables } from '../../server/store/tables.ts';
import { UploadFolder } from '../../server/uploads/folder.ts';
import { PhotoFolder } from '../../server/uploads/photos.ts';
import { createDatabase } from './database.ts';
import { byHand, watchTiles } from './watch-tiles.ts';

export const agencyPath = '/api/agencies/mossvale';
export const projectPath = `${agencyPath}/projects/quay-lane`;

export interface TestApp {
  app: App;
  /** The server's database, by connections of the test's own. */
  database: Database;
  uploads: UploadFolder;
  inject(options: InjectOptions | string): Promise<LightMyRequestResponse>;
  /** Plans the project and waits for the end of the job. */
  plan(): Promise<Job>;
  close(): Promise<void>;
}

/** A server over a database of its own that holds one agency with an empty project in UTM metres. */
export async function createTestApp({ work = true }: { work?: boolean } = {}): Promise<TestApp> {
  const { database, drop } = await createDatabase();
  await watchTiles(database.kysely);
  await layAgency(database);
  const hand = openByHand(database);
  const notices = await openNoticeBoard(database);
  const stopping = new AbortController();
  const dataFolder = mkdtempSync(join(tmpdir(), 'rimplane-app-'));
  const uploads = new UploadFolder(dataFolder);
  const uploadLimits = { maxBytes: 64 * 2 ** 20, keepDays: 14 };
  const log = (error: unknown) => console.error(error);
  const queue = await openJobQueue(
    database,
    {
      plan: async (request) => {
        if (work) await runPlanJob(database, request, { stopping: stopping.signal, log });
      },
      import: (request) =>
        runImportJob({ database, uploads, uploadLimits }, request, { stopping: stopping.signal, log }),
      deletion: (request) => runDeletionJob(database, request, stopping.signal),
    },
    log,
  );
  const context = {
    database,
    queue,
    notices,
    uploads,
    photos: new PhotoFolder(dataFolder),
    uploadLimits,
    basemapStyleUrl: null,
    version: '0.0.0',
  };
  const app = await buildApp(context, { logLevel: 'silent', webFolder: null });
  await app.ready();
  const inject = (options: InjectOptions | string) => app.inject(options);
  return {
    app,
    database: hand.database,
    uploads,
    inject,
    plan: () => planAndWait(inject),
    close: async () => {
      await app.close();
      stopping.abort();
      await queue.stop();
      await notices.close();
      await hand.close();
      await drop();
      rmSync(dataFolder, { recursive: true, force: true });
    },
  };
}

/** What a test does to the database without the server: it may leave the tiles behind. */
function openByHand(database: Database): { database: Database; close: () => Promise<void> } {
  const connection = database.connect(4, byHand);
  const kysely = new Kysely<Tables>({ dialect: new PostgresJSDialect({ postgres: connection }) });
  return { database: { ...database, sql: connection, kysely }, close: () => kysely.destroy() };
}

async function planAndWait(inject: TestApp['inject']): Promise<Job> {
  const { id } = (await inject({ method: 'POST', url: `${projectPath}/plans` })).json<Job>();
  for (let tries = 0; tries < 200; tries += 1) {
    const job = (await inject(`${agencyPath}/jobs/${id}`)).json<Job>();
    if (job.state !== 'queued' && job.state !== 'running') return job;
    await new Promise((resolve) => setTimeout(resolve, 25));
  }
  throw new Error(`The job ${id} did not end in 5 s`);
}

export const catalogue: RingCatalogue = {
  id: 'rings',
  name: 'Rings',
  unit: 'mm',
  rings: [20, 30, 50].map((height) => ({
    id: `F${height}`,
    thinM: height / 1000,
    thickM: height / 1000,
    outerDiameterM: 0.85,
    maxPerStack: 3,
    cost: null,
  })),
  indexPositions: 24,
  indexFrom: 'road',
  maxRings: 5,
  maxChimneyM: 0.3,
  joint: { baseM: 0.0025, betweenM: 0.0025, topM: 0.0025 },
};

/** One street along the grid's north, on the central meridian of UTM zone 32. */
async function layAgency({ kysely }: Database): Promise<void> {
  await insertAgency(kysely, { id: 'mossvale', name: 'Mossvale', lengthDisplay: 'mm', policy: {} });
  await insertAgency(kysely, { id: 'elsewhere', name: 'Elsewhere', lengthDisplay: 'mm', policy: {} });
  await insertRingCatalogue(kysely, 'mossvale', catalogue);
  await insertStreets(kysely, 'mossvale', [
    {
      id: 'quay-lane',
      name: 'Quay Lane',
      widthM: 8,
      line: [
        [9, 48],
        [9, 48.01],
      ],
    },
  ]);
  await insertProject(kysely, 'mossvale', {
    id: 'quay-lane',
    name: 'Quay Lane overlay',
    crs: 'EPSG:25832',
    elevationUnit: 'm',
    displayUnit: 'mm',
    ringCatalogueId: 'rings',
  });
}

/** A little north of latitude 48 on the central meridian, where the street begins. */
const startNorth = 5_316_100;

/** A register of covers 20 m apart on the centre line, each with its seat 0.25 m and its rim 0.05 m below grade 100. */
export function registerCsv(
  count: number,
  change: (line: string, index: number) => string = (line) => line,
): string {
  const lines = Array.from({ length: count }, (_, index) =>
    change(
      `C-${String(index + 1).padStart(3, '0')},sanitary,Sewer works,Quay Lane,${startNorth + 300 + index * 20},500000,99.95,99.75,150,600`,
      index,
    ),
  );
  const heading =
    'id,kind,owner,street,northing,easting,rim_elevation,seat_elevation,frame_height_mm,rim_diameter_mm';
  return `${[heading, ...lines].join('\n')}\n`;
}

/** Eight shots round every cover of registerCsv on a level surface at 100 m. */
export function shotsCsv(
  count: number,
  change: (line: string, index: number) => string = (line) => line,
): string {
  const lines: string[] = [];
  for (let cover = 0; cover < count; cover += 1) {
    for (let each = 0; each < 8; each += 1) {
      const angle = (each * Math.PI) / 4;
      const north = startNorth + 300 + cover * 20 + 2 * Math.cos(angle);
      const east = 500_000 + 2 * Math.sin(angle);
      const elevation = 100 + (each % 2 === 0 ? 0.001 : -0.001);
      lines.push(`${cover * 8 + each + 1},${north.toFixed(3)},${east.toFixed(3)},${elevation.toFixed(3)},FG`);
    }
  }
  return `${lines.map(change).join('\n')}\n`;
}
