import type { IncomingMessage, ServerResponse } from 'node:http';
import type { TypeBoxTypeProvider } from '@fastify/type-provider-typebox';
import type { FastifyBaseLogger, FastifyInstance, RawServerDefault } from 'fastify';
import type { JobQueue } from './jobs/queue.ts';
import type { Database } from './store/database.ts';
import type { NoticeBoard } from './store/notices.ts';

/** What routes work with. */
export interface AppContext {
  database: Database;
  queue: JobQueue;
  notices: NoticeBoard;
  basemapStyleUrl: string | null;
  version: string;
}

/** A Fastify whose routes take their types from their schemas. */
export type App = FastifyInstance<
  RawServerDefault,
  IncomingMessage,
  ServerResponse,
  FastifyBaseLogger,
  TypeBoxTypeProvider
>;
