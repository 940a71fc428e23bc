import swagger from '@fastify/swagger';
import type { TypeBoxTypeProvider } from '@fastify/type-provider-typebox';
import Fastify from 'fastify';
import type { App, AppContext } from './context.ts';
import { useEventStreams } from './plugins/event-stream.ts';
import { useNotFound } from './plugins/not-found.ts';
import { useOwnOrigin } from './plugins/own-origin.ts';
import { useProblems } from './plugins/problems.ts';
import { useSecurity } from './plugins/security.ts';
import { useValidation } from './plugins/validation.ts';
import { useWebPage } from './plugins/web-page.ts';
import { agencyRoutes } from './routes/agencies/index.ts';
import { jobRoutes } from './routes/agencies/jobs.ts';
import { madeTileRoutes } from './routes/agencies/made-tiles.ts';
import { overlayOutlookRoutes } from './routes/agencies/overlay-outlook.ts';
import { photoRoutes } from './routes/agencies/photos.ts';
import { assignmentRoutes } from './routes/agencies/projects/assignments.ts';
import { coverRoutes } from './routes/agencies/projects/covers.ts';
import { crewNightRoutes } from './routes/agencies/projects/crew-nights.ts';
import { projectEventRoutes } from './routes/agencies/projects/events.ts';
import { fieldRecordRoutes } from './routes/agencies/projects/field-records.ts';
import { importRoutes } from './routes/agencies/projects/imports.ts';
import { projectRoutes } from './routes/agencies/projects/index.ts';
import { lineRoutes } from './routes/agencies/projects/lines.ts';
import { paperRoutes } from './routes/agencies/projects/papers.ts';
import { planRoutes } from './routes/agencies/projects/plans.ts';
import { plateRoutes } from './routes/agencies/projects/plates.ts';
import { plotRoutes } from './routes/agencies/projects/plots.ts';
import { shotRoutes } from './routes/agencies/projects/shots.ts';
import { stagedImportRoutes } from './routes/agencies/projects/staged-imports.ts';
import { surfaceRoutes } from './routes/agencies/projects/surfaces.ts';
import { takeoffRoutes } from './routes/agencies/projects/takeoff.ts';
import { treatmentZoneRoutes } from './routes/agencies/projects/treatment-zones.ts';
import { ringCatalogueRoutes } from './routes/agencies/ring-catalogues.ts';
import { ringSupplyRoutes } from './routes/agencies/ring-supplies.ts';
import { searchRoutes } from './routes/agencies/search.ts';
import { streetRoutes } from './routes/agencies/streets.ts';
import { structureRimRoutes } from './routes/agencies/structure-rims.ts';
import { structureRoutes } from './routes/agencies/structures.ts';
import { vacuumTableRoutes } from './routes/agencies/vacuum-tables.ts';
import { crsRoutes } from './routes/crs.ts';
import { systemRoutes } from './routes/system.ts';
import { tileRoutes } from './routes/tiles/index.ts';

export interface AppOptions {
  logLevel: string;
  /** Folder of the built page; null serves the API alone. */
  webFolder: string | null;
  /** Addresses and networks of the proxies before the server. */
  trustProxy?: string[];
}

const routes = [
  systemRoutes,
  crsRoutes,
  agencyRoutes,
  structureRoutes,
  structureRimRoutes,
  madeTileRoutes,
  overlayOutlookRoutes,
  searchRoutes,
  streetRoutes,
  ringCatalogueRoutes,
  ringSupplyRoutes,
  jobRoutes,
  projectRoutes,
  coverRoutes,
  assignmentRoutes,
  fieldRecordRoutes,
  photoRoutes,
  crewNightRoutes,
  plateRoutes,
  vacuumTableRoutes,
  plotRoutes,
  takeoffRoutes,
  surfaceRoutes,
  shotRoutes,
  treatmentZoneRoutes,
  lineRoutes,
  importRoutes,
  stagedImportRoutes,
  planRoutes,
  paperRoutes,
  projectEventRoutes,
];

/**
 * Longer than a proxy keeps a connection that is idle (nginx 60 s, ngx_http_upstream_module, keepalive_timeout): the server
 * would else close one just as a change comes on it, which no proxy sends twice.
 */
const keepAliveTimeout = 75_000;

/** The HTTP server, ready for listen or inject. It closes nothing of the context. */
export async function buildApp(
  context: AppContext,
  { logLevel, webFolder, trustProxy = [] }: AppOptions,
): Promise<App> {
  const app = Fastify({
    logger: logLevel === 'silent' ? false : { level: logLevel },
    trustProxy: trustProxy.length > 0 && trustProxy,
    requestTimeout: 120_000,
    connectionTimeout: 0,
    keepAliveTimeout,
    forceCloseConnections: 'idle',
    return503OnClosing: true,
    routerOptions: { maxParamLength: 200 },
  }).withTypeProvider<TypeBoxTypeProvider>();
  useValidation(app as never);
  useProblems(app as never);
  useEventStreams(app as never);
  await useSecurity(app as never, context.basemapStyleUrl);
  useOwnOrigin(app as never, trustProxy);
  await app.register(swagger, {
    openapi: {
      openapi: '3.1.0',
      info: {
        title: 'Rimplane',
        version: context.version,
        description:
          'Brings covers to finished grade. Lengths are metres (names end in M), azimuths degrees clockwise from grid north (Deg), + is proud.',
      },
      servers: [{ url: '/' }],
    },
  });
  const page = await useWebPage(app as never, webFolder);
  useNotFound(app as never, page);
  await app.register(
    async (api) => {
      api.addHook('onSend', async (_request, reply) => {
        if (!reply.hasHeader('cache-control')) reply.header('cache-control', 'no-store');
      });
      for (const register of routes) register(api as never, context);
    },
    { prefix: '/api' },
  );
  tileRoutes(app as never, context);
  return app as never;
}
