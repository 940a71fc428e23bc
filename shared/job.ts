import Type, { type Static } from 'typebox';
import { exact, Moment, nullable, nullableMoment, nullableString, oneOf, Slug } from './schema.ts';

export const jobStates = ['queued', 'running', 'done', 'failed', 'cancelled'] as const;

/** A plan job, which is also the record of what was planned from which inputs, or the deletion of a project. */
export const Job = exact({
  id: Type.String({ format: 'uuid' }),
  agencyId: Slug,
  projectId: Slug,
  kind: oneOf(['plan', 'deletion']),
  state: oneOf(jobStates),
  done: Type.Integer({ description: 'Covers planned, or rows of the project removed, so far.' }),
  total: Type.Integer({ description: 'Covers to plan, or rows to remove; 0 until the job has started.' }),
  createdAt: Moment,
  startedAt: nullableMoment,
  finishedAt: nullableMoment,
  error: nullableString('What went wrong, for people.'),
  /** Revision that this job produced, or found unchanged; null until done. */
  planRevision: nullable(Type.Integer()),
  /** true: the inputs hash equal to those of the plan in force, which therefore stays. */
  unchanged: Type.Boolean(),
  warnings: Type.Array(Type.String()),
  planned: Type.Integer({
    description: 'Covers that were planned anew: the inputs of the others had not changed.',
  }),
});

/** Data of a `progress` event of /jobs/{job}/events; the last one has a state other than queued or running. */
export const JobProgress = exact({
  jobId: Type.String(),
  state: oneOf(jobStates),
  done: Type.Integer(),
  total: Type.Integer(),
  secondsLeft: nullable(Type.Integer({ description: 'At the pace so far; null where that is not known.' })),
});

/** Data of a `revision` event of /projects/{project}/events. */
export const ProjectRevision = exact({
  projectId: Slug,
  inputRevision: Type.Integer(),
  planRevision: Type.Integer(),
  byRecords: Type.Optional(
    Type.Literal(true, {
      description: 'Nothing changed but what records say; they have an event of their own.',
    }),
  ),
});

export type Job = Static<typeof Job>;
export type JobProgress = Static<typeof JobProgress>;
export type JobState = (typeof jobStates)[number];
export type ProjectRevision = Static<typeof ProjectRevision>;
