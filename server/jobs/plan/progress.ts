import type { Database } from '../../store/database.ts';
import { reportJob } from '../../store/jobs.ts';
import { notify } from '../../store/notices.ts';
import type { PlanRequest } from '../queue.ts';
import { JobCancelled, JobInterrupted } from './ends.ts';

/** How often progress is written and told. */
const progressMs = 250;

/** How far a plan job has come, with the time that is left at the pace so far; ends it where it is to end. */
export class PlanProgress {
  readonly #database: Database;
  readonly #request: PlanRequest;
  readonly #stopping: AbortSignal;
  readonly #ending = new AbortController();
  #done = 0;
  #total = 0;
  #begunAt = 0;
  #doneBefore = 0;
  #toldAt = 0;

  constructor(database: Database, request: PlanRequest, stopping: AbortSignal) {
    this.#database = database;
    this.#request = request;
    this.#stopping = stopping;
    if (stopping.aborted) this.#interrupt();
    else stopping.addEventListener('abort', this.#interrupt);
  }

  readonly #interrupt = (): void => this.#ending.abort(new JobInterrupted('The server is stopping'));

  /** Aborted when the job is to end, with what ended it. */
  get ending(): AbortSignal {
    return this.#ending.signal;
  }

  async begin(total: number, done = 0): Promise<void> {
    this.#total = total;
    this.#done = done;
    this.#doneBefore = done;
    this.#begunAt = performance.now();
    await this.#tell();
  }

  /** Notes more covers; tells of them now and then. @throws what ended the job */
  async add(covers: number): Promise<void> {
    this.#done += covers;
    this.ending.throwIfAborted();
    if (performance.now() - this.#toldAt >= progressMs) await this.#tell();
  }

  async end(): Promise<void> {
    this.#stopping.removeEventListener('abort', this.#interrupt);
    this.ending.throwIfAborted();
    await this.#tell();
  }

  async #tell(): Promise<void> {
    this.#toldAt = performance.now();
    const { agencyId, jobId } = this.#request;
    const progress = { done: this.#done, total: this.#total };
    if (!(await reportJob(this.#database.kysely, agencyId, jobId, progress))) {
      this.#ending.abort(new JobCancelled());
      this.ending.throwIfAborted();
    }
    const notice = { jobId, state: 'running' as const, ...progress, secondsLeft: this.#secondsLeft() };
    await notify(this.#database.kysely, { kind: 'job', agencyId, ...notice });
  }

  #secondsLeft(): number | null {
    const done = this.#done - this.#doneBefore;
    if (done === 0) return null;
    const seconds = (performance.now() - this.#begunAt) / 1000;
    return Math.ceil((seconds * (this.#total - this.#done)) / done);
  }
}
