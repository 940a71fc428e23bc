import { randomUUID } from 'node:crypto';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { CoverCard, CoverRow } from '#shared/cover.ts';
import type { Job } from '#shared/job.ts';
import type { Project } from '#shared/project.ts';
import { runPlanJob } from '../../../server/jobs/plan/run.ts';
import { finishJob, insertJob } from '../../../server/store/jobs.ts';
import {
  agencyPath,
  createTestApp,
  projectPath,
  registerCsv,
  shotsCsv,
  type TestApp,
} from '../../helpers/app.ts';
import { storeFile } from '../../helpers/staged-import.ts';

let test: TestApp;
beforeAll(async () => {
  test = await createTestApp();
  await storeFile(test, 'register.csv', registerCsv(6));
  await storeFile(test, 'shots.csv', shotsCsv(5), { surfaceName: 'Levelled' });
});
afterAll(() => test.close());

const getProject = async () => (await test.inject(projectPath)).json<Project>();
const getCard = async (id: string) => (await test.inject(`${projectPath}/covers/${id}`)).json<CoverCard>();

describe('a plan job', () => {
  it('plans every cover and puts the plan in force', async () => {
    const job = await test.plan();
    expect(job).toMatchObject({
      state: 'done',
      done: 6,
      total: 6,
      planRevision: 1,
      unchanged: false,
      error: null,
    });
    expect(await getProject()).toMatchObject({
      planRevision: 1,
      planStale: false,
      statusCounts: { raise: 5, unsurveyed: 1 },
      latestJob: { id: job.id },
    });
  });

  it('gives each cover the stack that the surface asks for', async () => {
    const { plan, shots, limits } = await getCard('C-001');
    // Grade 100, seat 99.75, frame 0.15: net buildup 0.1 m = 50 + 30 + 20 mm less four joints of 2.5 mm, or nearest to it.
    expect(plan).toMatchObject({ status: 'raise', allowance: 'met' });
    expect(plan!.netBuildupM).toBeCloseTo(0.1, 3);
    expect(plan!.finished!.elevationM).toBeCloseTo(100, 3);
    expect(plan!.rimErrorM).toBeCloseTo(-0.05, 3);
    expect(plan!.residual!.worstM).toBeLessThanOrEqual(limits.toleranceM.value);
    expect(shots.filter(({ use }) => use === 'used')).toHaveLength(8);
    const { items } = (await test.inject(`${projectPath}/covers?status=unsurveyed`)).json<{
      items: CoverRow[];
    }>();
    expect(items.map(({ id, stack, worstM }) => ({ id, stack, worstM }))).toEqual([
      { id: 'C-006', stack: [], worstM: null },
    ]);
  });

  it('on inputs that did not change leaves the plan in force as it is', async () => {
    expect(await test.plan()).toMatchObject({ state: 'done', planRevision: 1, unchanged: true });
    expect((await getCard('C-001')).plans).toHaveLength(1);
  });

  it('after a change plans anew, with a new version only of the covers that come out otherwise', async () => {
    const url = `${agencyPath}/structures/C-002`;
    await test.inject({ method: 'PATCH', url, headers: { 'if-match': '"1"' }, payload: { setDownM: 0.004 } });
    expect(await getProject()).toMatchObject({ planStale: true });
    expect(await test.plan()).toMatchObject({ planRevision: 2, unchanged: false });
    expect(await getProject()).toMatchObject({ planStale: false, planRevision: 2 });
    const [changed, other] = [await getCard('C-002'), await getCard('C-001')];
    expect(changed.plans.map(({ revision }) => revision)).toEqual([2, 1]);
    expect(changed.plan!.netBuildupM).toBeCloseTo(0.096, 3);
    expect(other.plans.map(({ revision }) => revision)).toEqual([1]);
  });

  it('run a second time after its end does nothing', async () => {
    const { id } = (await getProject()).latestJob!;
    const before = await getProject();
    const request = { agencyId: 'mossvale', projectId: 'quay-lane', jobId: id };
    await runPlanJob(test.database, request, { stopping: new AbortController().signal, log: () => {} });
    expect(await getProject()).toEqual(before);
  });

  it('that was killed while it ran is run again to the same plan', async () => {
    const { kysely } = test.database;
    const request = { agencyId: 'mossvale', projectId: 'quay-lane', jobId: randomUUID() };
    await insertJob(kysely, request);
    await kysely.updateTable('jobs').set({ state: 'running' }).where('job_id', '=', request.jobId).execute();
    await runPlanJob(test.database, request, { stopping: new AbortController().signal, log: () => {} });
    const job = (await test.inject(`${agencyPath}/jobs/${request.jobId}`)).json<Job>();
    expect(job).toMatchObject({ state: 'done', planRevision: 2 });
  });

  it('of a project without a ring catalogue fails and says what to do', async () => {
    const { version } = await getProject();
    const headers = { 'if-match': `"${version}"` };
    await test.inject({ method: 'PATCH', url: projectPath, headers, payload: { ringCatalogueId: null } });
    expect(await test.plan()).toMatchObject({
      state: 'failed',
      error: expect.stringContaining('ring catalogue'),
    });
    const again = { 'if-match': `"${version + 1}"` };
    await test.inject({
      method: 'PATCH',
      url: projectPath,
      headers: again,
      payload: { ringCatalogueId: 'rings' },
    });
    expect(await test.plan()).toMatchObject({ state: 'done', planRevision: 2, unchanged: true });
  });

  it('makes no plan from shots on another surface, and says so', async () => {
    const content = shotsCsv(6, (line) => line.replace('100.', '99.'));
    await storeFile(test, 'old.csv', content, { surfaceName: 'Before', stage: 'existing' });
    const { warnings, planRevision } = await test.plan();
    expect(warnings).toEqual(['Before was shot on the existing surface, so no plan is made from it.']);
    expect(planRevision).toBe(2);
  });
});

describe('a job that nobody works on', () => {
  let idle: TestApp;
  beforeAll(async () => {
    idle = await createTestApp({ work: false });
  });
  afterAll(() => idle.close());

  it('is answered with 202 and where it is found, and asked for again it is the same', async () => {
    const ask = () => idle.inject({ method: 'POST', url: `${projectPath}/plans` });
    const [first, second] = [await ask(), await ask()];
    expect(first.statusCode).toBe(202);
    expect(first.headers.location).toBe(`${agencyPath}/jobs/${first.json<Job>().id}`);
    expect(second.json<Job>().id).toBe(first.json<Job>().id);
  });

  it('is cancelled once, and a worker that comes late leaves it alone', async () => {
    const { id } = (await idle.inject(projectPath)).json<Project>().latestJob!;
    const url = `${agencyPath}/jobs/${id}/cancel`;
    expect((await idle.inject({ method: 'POST', url })).json()).toMatchObject({ id, state: 'cancelled' });
    expect((await idle.inject({ method: 'POST', url })).statusCode).toBe(200);
    const request = { agencyId: 'mossvale', projectId: 'quay-lane', jobId: id };
    await runPlanJob(idle.database, request, { stopping: new AbortController().signal, log: () => {} });
    expect((await idle.inject(projectPath)).json<Project>()).toMatchObject({
      planRevision: 0,
      latestJob: { state: 'cancelled' },
    });
  });

  it('cannot be cancelled after its end', async () => {
    const { id } = (await idle.inject({ method: 'POST', url: `${projectPath}/plans` })).json<Job>();
    await finishJob(idle.database.kysely, 'mossvale', id, { state: 'failed', error: 'x' });
    const answer = await idle.inject({ method: 'POST', url: `${agencyPath}/jobs/${id}/cancel` });
    expect(answer.statusCode).toBe(409);
  });
});
