import { setImmediate as nextTurn } from 'node:timers/promises';
import type { CrsDefinition } from '#core/crs/crs.ts';
import type { ByteSource } from '#core/intake/types.ts';
import type { AppContext } from '../context.ts';
import type { ProjectHead } from '../store/projects.ts';
import { type ImportRecord, reportImport } from '../store/staging/batches.ts';
import { notifyImport } from './notice.ts';

/** The server is stopping, or somebody cancelled the work: nothing of it is kept. */
export class ImportStopped extends Error {}

/** A fault that the user can mend; its message is for people. */
export class ImportRefused extends Error {}

export type WorkContext = Pick<AppContext, 'database' | 'uploads' | 'uploadLimits'>;

/** One reading or storing of an import. */
export interface Work {
  context: WorkContext;
  record: ImportRecord;
  runId: string;
  project: ProjectHead;
  crs: CrsDefinition;
  progress: Progress;
}

const progressMs = 250;

/** Notes and tells how far the work has come, and ends it where it is to stop. */
export class Progress {
  readonly #context: WorkContext;
  readonly #record: ImportRecord;
  readonly #runId: string;
  readonly #stopping: AbortSignal;
  #done = 0;
  #toldAt = 0;
  #turnAt = performance.now();
  total = 0;

  constructor(context: WorkContext, record: ImportRecord, runId: string, stopping: AbortSignal) {
    this.#context = context;
    this.#record = record;
    this.#runId = runId;
    this.#stopping = stopping;
  }

  /** @throws ImportStopped */
  async add(done: number): Promise<void> {
    this.#done += done;
    if (this.#stopping.aborted) throw new ImportStopped('The server is stopping');
    const now = performance.now();
    if (now - this.#turnAt > 15) {
      await nextTurn();
      this.#turnAt = performance.now();
    }
    if (now - this.#toldAt < progressMs) return;
    this.#toldAt = now;
    await this.#tell();
  }

  async #tell(): Promise<void> {
    const db = this.#context.database.kysely;
    const progress = { done: Math.min(Math.round(this.#done), this.total), total: this.total };
    if (!(await reportImport(db, this.#record, this.#runId, progress))) {
      throw new ImportStopped('The work was cancelled');
    }
    const { state } = this.#record;
    await notifyImport(db, this.#record, { state, ...progress });
  }

  /** The same source, counting every byte that is read. */
  watch<Source extends ByteSource>(source: Source): Source {
    const add = (bytes: number) => this.add(bytes);
    return {
      ...source,
      async bytes(offset: number, length: number) {
        const found = await source.bytes(offset, length);
        await add(0);
        return found;
      },
      async *chunks() {
        for await (const chunk of source.chunks()) {
          await add(chunk.length);
          yield chunk;
        }
      },
    };
  }
}
