import type { IncomingMessage, ServerResponse } from 'node:http';
import type { TypeBoxTypeProvider } from '@fastify/type-provider-typebox';
import type { FastifyBaseLogger, FastifyInstance, RawServerDefault } from 'fastify';
import type { JobQueue } from './jobs/queue.ts';
import type { Database } from './store/database.ts';
import type { NoticeBoard } from './store/notices.ts';
import type { UploadFolder } from './uploads/folder.ts';
import type { PhotoFolder } from './uploads/photos.ts';

/** What routes work with. */
export interface AppContext {
  database: Database;
  queue: JobQueue;
  notices: NoticeBoard;
  uploads: UploadFolder;
  photos: PhotoFolder;
  uploadLimits: UploadLimits;
  basemapStyleUrl: string | null;
  /** Where people reach this server, for the codes on paper; left out: the address that a request came to. */
  publicUrl?: string | null;
  version: string;
}

/** How much may be uploaded, and how long what nobody stores is kept. */
export interface UploadLimits {
  /** All files of one import together. */
  maxBytes: number;
  keepDays: number;
}

/** A Fastify whose routes take their types from their schemas. */
export type App = FastifyInstance<
  RawServerDefault,
  IncomingMessage,
  ServerResponse,
  FastifyBaseLogger,
  TypeBoxTypeProvider
>;
