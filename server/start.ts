import { createRequire } from 'node:module';
import type { AddressInfo } from 'node:net';
import { buildApp } from './app.ts';
import { type Config, ConfigError } from './config.ts';
import { checkConnections } from './connections.ts';
import type { App, AppContext } from './context.ts';
import { loadDemo } from './demo/load.ts';
import { startEmbeddedPostgres } from './embedded/cluster.ts';
import { runDeletionJob } from './jobs/deletion.ts';
import { runImportInThread } from './jobs/importThread.ts';
import { JobInterrupted } from './jobs/plan/ends.ts';
import { runPlanJob } from './jobs/plan/run.ts';
import { openJobQueue } from './jobs/queue.ts';
import { requestPlan, resumeJobs } from './jobs/request.ts';
import { watchStrays } from './jobs/strays.ts';
import { buildPageIfNeeded, webFolder } from './page/build.ts';
import { resumeImports } from './staging/resume.ts';
import { sweepUploads } from './staging/sweep.ts';
import { checkServerVersion, type Database, openDatabase } from './store/database.ts';
import { migrate } from './store/migrate.ts';
import { openNoticeBoard } from './store/notices.ts';
import { listServerFolders, serverName } from './store/servers.ts';
import { UploadFolder } from './uploads/folder.ts';
import { PhotoFolder } from './uploads/photos.ts';

const { version } = createRequire(import.meta.url)('../package.json') as { version: string };

export interface RunningServer {
  /** Where a browser finds the page. */
  address: string;
  stop(): Promise<void>;
}

/** What has to be undone, the last first. Every step is tried, also where one before it failed. */
class Undo {
  readonly #steps: (() => Promise<void>)[] = [];

  add(step: () => Promise<void>): void {
    this.#steps.push(step);
  }

  async run(): Promise<void> {
    const faults: unknown[] = [];
    for (const step of this.#steps.splice(0).reverse()) await step().catch((fault) => faults.push(fault));
    if (faults.length > 0) throw new AggregateError(faults, 'The server did not stop cleanly');
  }
}

/** Starts everything in order: page, database, tables, queue, demo, HTTP. A failed start leaves nothing running. */
export async function startServer(
  config: Config,
  { say, onFatal }: { say: (line: string) => void; onFatal: (detail: string) => void },
): Promise<RunningServer> {
  const undo = new Undo();
  try {
    if (config.buildWeb) await buildPageIfNeeded(say);
    const target = config.databaseUrl
      ? { url: config.databaseUrl }
      : await startOwnDatabase(config, undo, say, onFatal);
    const app = await startOn(target, config, { undo, say });
    return { address: await listen(app, config), stop: () => undo.run() };
  } catch (error) {
    await undo.run().catch((fault) => say(String(fault)));
    throw error;
  }
}

async function listen(app: App, { host, port }: Config): Promise<string> {
  try {
    await app.listen({ host, port });
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code !== 'EADDRINUSE') throw error;
    throw new ConfigError(`PORT ${port} is taken by another program on ${host}: stop that, or set PORT`);
  }
  const bound = app.server.address() as AddressInfo;
  return `http://${host.includes(':') ? `[${host}]` : host}:${bound.port}`;
}

async function startOwnDatabase(
  config: Config,
  undo: Undo,
  say: (line: string) => void,
  onFatal: (detail: string) => void,
) {
  const postgres = await startEmbeddedPostgres(config.dataFolder);
  undo.add(() => postgres.stop());
  postgres.onUnexpectedExit(onFatal);
  if (postgres.notice) say(postgres.notice);
  return postgres.target;
}

/** What servers on one database have to agree on, before any of them is given work. */
async function checkShared(
  database: Database,
  { uploads, mark, config }: { uploads: UploadFolder; mark: string; config: Config },
): Promise<string | null> {
  const others = (await listServerFolders(database)).filter((folder) => folder !== mark);
  if (others.length > 0) {
    throw new ConfigError(
      `Another server on this database keeps uploads in another folder than ${uploads.path}: give all of them one shared folder as DATA_DIR, else a file sent to one is missing at the other`,
    );
  }
  return checkConnections(database, config.databaseConnections);
}

async function startOn(
  target: Parameters<typeof openDatabase>[0],
  config: Config,
  { undo, say }: { undo: Undo; say: (line: string) => void },
): Promise<App> {
  const database = openDatabase(target, config.databaseConnections);
  undo.add(() => database.close());
  await checkServerVersion(database);
  await migrate(database);
  const uploads = new UploadFolder(config.dataFolder);
  const mark = config.databaseUrl ? await uploads.mark() : 'of its own';
  const notices = await openNoticeBoard(database, serverName(mark));
  undo.add(() => notices.close());
  if (config.databaseUrl) {
    const warning = await checkShared(database, { uploads, mark, config });
    if (warning) say(warning);
  }
  const stopping = new AbortController();
  const { uploadLimits } = config;
  let app: App | null = null;
  const log = (error: unknown): void => {
    if (!(error instanceof JobInterrupted)) app?.log.error({ err: error }, 'job failed');
  };
  const queue = await openJobQueue(
    database,
    {
      plan: (request) => runPlanJob(database, request, { stopping: stopping.signal, log }),
      import: (request) => {
        const data = { target, dataFolder: config.dataFolder, uploadLimits, request };
        return runImportInThread(database, data, { stopping: stopping.signal, log });
      },
      deletion: (request) => runDeletionJob(database, request, stopping.signal),
    },
    log,
    config.jobHeartbeatSeconds,
  );
  undo.add(() => queue.stop());
  undo.add(async () => stopping.abort());
  // Another server on a shared database may be at work on its jobs; the embedded one has this server alone.
  if (config.databaseUrl) {
    const strays = await watchStrays({ database, queue, uploads }, log);
    undo.add(() => strays.stop());
  } else {
    await resumeJobs({ database, queue });
    await resumeImports({ database, queue, uploads });
  }
  const sweeper = sweepUploads({ database, uploads }, log);
  undo.add(async () => sweeper.stop());
  const demo = config.loadDemo ? await loadDemo(database) : null;
  if (demo) await planAndWait({ database, queue, notices }, demo);
  const { basemapStyleUrl, publicUrl, logLevel, trustProxy } = config;
  const photos = new PhotoFolder(config.dataFolder);
  const context = {
    database,
    queue,
    notices,
    uploads,
    photos,
    uploadLimits,
    basemapStyleUrl,
    publicUrl,
    version,
  };
  app = await buildApp(context, { logLevel, webFolder, trustProxy });
  const built = app;
  undo.add(() => built.close());
  return built;
}

/** The demo is shown planned from the first look; a plan that never ends must not keep the page away. */
const demoPlanLimitMs = 30_000;

async function planAndWait(
  { database, queue, notices }: Pick<AppContext, 'database' | 'queue' | 'notices'>,
  project: { agencyId: string; projectId: string },
): Promise<void> {
  const { promise, resolve } = Promise.withResolvers<void>();
  const end = notices.subscribe((notice) => {
    if (notice.kind === 'job' && notice.state !== 'queued' && notice.state !== 'running') resolve();
  }, resolve);
  const late = setTimeout(resolve, demoPlanLimitMs);
  await requestPlan({ database, queue }, project);
  await promise;
  clearTimeout(late);
  end();
}
