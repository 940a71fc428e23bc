import Type from 'typebox';
import { Job } from '#shared/job.ts';
import { exact } from '#shared/schema.ts';
import type { App, AppContext } from '../../context.ts';
import { HttpProblem, notFound } from '../../http-problem.ts';
import { openEventStream } from '../../plugins/event-stream.ts';
import { cancelJob, findJob } from '../../store/jobs.ts';
import { notify } from '../../store/notices.ts';
import { NoQuery, problems } from '../common.ts';

const JobParams = exact({ agency: Type.String(), job: Type.String() });
const uuid = /^[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}$/i;

export function jobRoutes(app: App, context: AppContext): void {
  const { kysely } = context.database;
  const path = '/agencies/:agency/jobs/:job';
  const tags = ['jobs'];
  const schema = { tags, params: JobParams, querystring: NoQuery };

  const requireJob = async ({ agency, job }: { agency: string; job: string }): Promise<Job> => {
    const found = uuid.test(job) ? await findJob(kysely, agency, job) : null;
    if (!found) throw notFound(`job "${job}"`);
    return found;
  };

  app.get(path, { schema: { ...schema, response: { 200: Job, ...problems } } }, async (request) =>
    requireJob(request.params),
  );

  app.post(
    `${path}/cancel`,
    { schema: { ...schema, response: { 200: Job, ...problems } } },
    async (request) => {
      const job = await requireJob(request.params);
      if (job.kind === 'deletion')
        throw new HttpProblem(
          409,
          'What was removed of the project is gone: its deletion goes on to the end.',
        );
      const ended = await cancelJob(kysely, job.agencyId, job.id);
      const now = await requireJob(request.params);
      if (!ended && now.state === 'running') {
        throw new HttpProblem(409, 'The plan is coming into force and cannot be cancelled any more.');
      }
      if (!ended && now.state !== 'cancelled') throw new HttpProblem(409, `The job is ${now.state} already.`);
      const { done, total } = now;
      await notify(kysely, {
        kind: 'job',
        agencyId: job.agencyId,
        jobId: job.id,
        state: now.state,
        done,
        total,
        secondsLeft: null,
      });
      return now;
    },
  );

  app.get(`${path}/events`, { schema: { ...schema, response: problems } }, async (request, reply) => {
    await requireJob(request.params);
    const stream = openEventStream(request, reply);
    const tell = ({ id, state, done, total }: Job): void => {
      stream.send('progress', { jobId: id, state, done, total });
      if (state !== 'queued' && state !== 'running') stream.end();
    };
    const lookAgain = (): void => {
      if (!stream.isOpen) return;
      requireJob(request.params).then(tell, (error) => {
        // A deletion goes with its project.
        if (error instanceof HttpProblem) stream.end();
        else request.log.error(error);
      });
    };
    const end = context.notices.subscribe((notice) => {
      if (notice.kind !== 'job' || notice.jobId !== request.params.job) return;
      const { jobId, state, done, total } = notice;
      stream.send('progress', { jobId, state, done, total });
      if (state !== 'queued' && state !== 'running') stream.end();
    }, lookAgain);
    stream.onClose(end);
    if (stream.isOpen) tell(await requireJob(request.params));
    return reply;
  });
}
