import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { CoverCard } from '#shared/cover.ts';
import type { LineCollection } from '#shared/line.ts';
import type { ProblemDetails } from '#shared/problem.ts';
import type { Project } from '#shared/project.ts';
import type { ImportTarget } from '#shared/staged-import.ts';
import type { Surface } from '#shared/surface.ts';
import { createTestApp, projectPath, registerCsv, shotsCsv, type TestApp } from '../../helpers/app.ts';
import { box, layDesign, layLine, zone } from '../../helpers/onGrid.ts';
import { storeFile } from '../../helpers/staged-import.ts';

let test: TestApp;

async function start(surfaces: [target: ImportTarget, content: string][]): Promise<void> {
  test = await createTestApp();
  await storeFile(test, 'register.csv', registerCsv(6));
  for (const [target, content] of surfaces) await storeFile(test, 'shots.csv', content, target);
}

const getCard = async (id: string) => (await test.inject(`${projectPath}/covers/${id}`)).json<CoverCard>();
const getPlan = async (id: string) => (await getCard(id)).plan!;
const getSurfaces = async () =>
  (await test.inject(`${projectPath}/surfaces`)).json<{ items: Surface[] }>().items;
const getProject = async () => (await test.inject(projectPath)).json<Project>();
const codesOf = async (id: string) => (await getPlan(id)).reasons.map(({ code }) => code);

async function patchProject(payload: object): Promise<Project> {
  const headers = { 'if-match': `"${(await getProject()).version}"` };
  return (await test.inject({ method: 'PATCH', url: projectPath, headers, payload })).json<Project>();
}

const postZone = (payload: object) =>
  test.inject({ method: 'POST', url: `${projectPath}/treatment-zones`, payload });

describe('a plan from the existing surface and its treatment', () => {
  beforeAll(() => start([[{ surfaceName: 'Before', stage: 'existing' }, shotsCsv(6)]]));
  afterAll(() => test.close());

  it('is none while it is not known what is laid', async () => {
    await test.plan();
    const { status, finished, source } = await getPlan('C-001');
    expect({ status, finished, source }).toEqual({ status: 'unsurveyed', finished: null, source: null });
    expect(await codesOf('C-001')).toEqual(['noSource']);
    expect(await getSurfaces()).toMatchObject([{ id: 'before', form: 'shots', use: 'none', coverCount: 0 }]);
  });

  it('everywhere in a project without zones takes the treatment of the project', async () => {
    const treatment = { millDepthM: 0.04, millClearanceM: 0.02, maxRiserM: 0, liftsM: [0.03, 0.04] };
    expect((await patchProject({ treatment })).treatment).toEqual({ ...treatment, setDownM: null });
    expect(await test.plan()).toMatchObject({ unchanged: false, warnings: [] });
    const plan = await getPlan('C-001');
    expect(plan.finished).toMatchObject({ surface: 'Before', elevationM: expect.closeTo(100.03, 3) });
    expect(plan.source).toEqual({
      from: 'treatment',
      surfaces: ['before'],
      stage: 'existing',
      lift: null,
      zone: null,
    });
    expect(
      plan.stageElevations.map(({ stage, elevationM }) => [stage, Math.round(elevationM * 1e3)]),
    ).toEqual([
      ['existing', 100_000],
      ['milled', 99_960],
      ['lift', 99_990],
      ['lift', 100_030],
    ]);
    // Rim 99.95 over a seat at 99.75 with a frame of 150 mm: 50 mm of chimney, less than the mill needs.
    expect(plan.status).toBe('lower');
    expect(await codesOf('C-001')).toContain('millMillRound');
    expect(await getSurfaces()).toMatchObject([{ use: 'treatment', coverCount: 6 }]);
  });

  it('with zones takes the one that each cover is in, and leaves those outside with the reason', async () => {
    expect((await postZone(zone('first', box(-10, -10, 10, 30), { millDepthM: 0 }))).statusCode).toBe(201);
    expect((await postZone(zone('second', box(-10, 30, 10, 70), { millDepthM: 0.02 }))).statusCode).toBe(201);
    expect((await getProject()).planStale).toBe(true);
    await test.plan();
    expect(await getPlan('C-001')).toMatchObject({
      finished: { elevationM: expect.closeTo(100.05, 3) },
      source: { zone: 'first' },
    });
    expect(await getPlan('C-003')).toMatchObject({
      finished: { elevationM: expect.closeTo(100.03, 3) },
      source: { zone: 'second' },
    });
    expect(await codesOf('C-005')).toEqual(['outsideZones']);
  });

  it('is the same plan again after a change that is taken back', async () => {
    const { planRevision } = await getProject();
    const url = `${projectPath}/treatment-zones/first`;
    const patch = (version: number, liftsM: number[]) =>
      test.inject({ method: 'PATCH', url, headers: { 'if-match': `"${version}"` }, payload: { liftsM } });
    await patch(1, [0.06]);
    await patch(2, [0.05]);
    expect(await test.plan()).toMatchObject({ unchanged: true, planRevision });
    await patch(3, [0.06]);
    expect(await test.plan()).toMatchObject({ unchanged: false });
    expect((await getPlan('C-001')).finished!.elevationM).toBeCloseTo(100.06, 3);
  });

  it('counts the spread of the lifts as the project says, over what the agency says', async () => {
    const { sigmaRimM: before } = (await getPlan('C-001')).finished!;
    const { limits } = await patchProject({ policy: { liftSigmaM: 0.004 } });
    expect(limits.liftSigmaM).toEqual({ value: 0.004, from: 'project' });
    await test.plan();
    const { status, finished } = await getPlan('C-001');
    expect(finished!.sigmaRimM).toBeCloseTo(Math.hypot(before, 0.004), 9);
    expect(status).toBe('remeasure');
    await patchProject({ policy: { liftSigmaM: null } });
    expect((await getProject()).limits.liftSigmaM).toEqual({ value: 0, from: 'default' });
  });

  it('gives way to a design surface where there is one, unless the project chooses otherwise', async () => {
    await layDesign(test, { id: 'issue-a', level: 100.1, south: -10, north: 110, epoch: '2026-02-01' });
    await layDesign(test, { id: 'issue-b', level: 100.08, south: -10, north: 30, epoch: '2026-04-01' });
    await test.plan();
    const from = async (id: string) => {
      const { finished, source } = await getPlan(id);
      return [finished!.surface, finished!.method, Math.round(finished!.elevationM * 1e3), source!.from];
    };
    expect(await from('C-001')).toEqual(['issue-b', 'design', 100_080, 'design']);
    expect(await from('C-003')).toEqual(['issue-a', 'design', 100_100, 'design']);
    expect(
      (await getSurfaces()).map(({ id, use, faceCount, coverCount }) => [id, use, faceCount, coverCount]),
    ).toEqual([
      ['before', 'treatment', 0, 0],
      ['issue-a', 'design', 2, 4],
      ['issue-b', 'design', 2, 2],
    ]);
    const project = await patchProject({ policy: { finishedFrom: 'treatment' } });
    expect(project.limits.finishedFrom).toEqual({ value: 'treatment', from: 'project' });
    const { warnings } = await test.plan();
    expect(warnings).toEqual([
      'No plan is made from issue-a: the project takes finished grades from treatment alone.',
      'No plan is made from issue-b: the project takes finished grades from treatment alone.',
    ]);
    expect((await from('C-001'))[3]).toBe('treatment');
  });

  it('does not bridge gaps: a triangle with a longer side than the limit gives no answer, and says so', async () => {
    await patchProject({ policy: { finishedFrom: 'design', longestSideM: 50 } });
    await test.plan();
    expect(await getPlan('C-003')).toMatchObject({ status: 'unsurveyed', reasons: [{ code: 'noDesign' }] });
    const [{ values }] = (await getPlan('C-003')).reasons;
    expect(values.detail).toContain('limit 50 m');
    // 40 m by 40 m: its longest side is 57 m as well.
    expect((await getPlan('C-001')).status).toBe('unsurveyed');
  });
});

describe('surveys of one stage', () => {
  const half = (keep: number) =>
    shotsCsv(6)
      .split('\n')
      .filter((line) => Number(line.split(',')[0]) % 2 === keep)
      .join('\n');
  beforeAll(() =>
    start([
      [{ surfaceName: 'Even' }, half(0)],
      [{ surfaceName: 'Odd' }, half(1)],
    ]),
  );
  afterAll(() => test.close());

  const date = async (id: string, payload: object) => {
    const version = (await getSurfaces()).find((surface) => surface.id === id)!.version;
    const headers = { 'if-match': `"${version}"` };
    return test.inject({ method: 'PATCH', url: `${projectPath}/surfaces/${id}`, headers, payload });
  };

  it('without a day are each fitted by itself, and that is said', async () => {
    const { warnings } = await test.plan();
    expect(warnings).toEqual([expect.stringContaining('No day is stated for Even, Odd')]);
    const { finished, source } = await getPlan('C-001');
    expect(finished).toMatchObject({ surface: 'Odd', shotsUsed: 4 });
    expect(source!.surfaces).toEqual(['odd']);
    const { shots } = await getCard('C-001');
    expect(new Set(shots.filter(({ use }) => use === 'used').map(({ surface }) => surface))).toEqual(
      new Set(['odd']),
    );
  });

  it('of one day are fitted together, of two days are not', async () => {
    expect((await date('even', { epoch: '2026-05-02' })).json()).toMatchObject({
      epoch: '2026-05-02',
      version: 2,
    });
    await date('odd', { epoch: '2026-05-02' });
    expect((await test.plan()).warnings).toEqual([]);
    expect((await getPlan('C-001')).finished).toMatchObject({ surface: 'Even + Odd', shotsUsed: 8 });
    await date('even', { epoch: '2026-05-03' });
    await test.plan();
    expect((await getPlan('C-001')).finished).toMatchObject({ surface: 'Even', shotsUsed: 4 });
  });

  it('of different datums are never fitted together, and that is said', async () => {
    await date('even', { epoch: '2026-05-02', verticalDatum: 'Harbour datum' });
    await date('odd', { verticalDatum: 'Station datum' });
    const { warnings } = await test.plan();
    expect(warnings).toEqual([
      'Elevations of different datums do not compare: Even in Harbour datum; Odd in Station datum.',
    ]);
    expect((await getPlan('C-001')).finished!.shotsUsed).toBe(4);
  });

  it.each([
    [{ lift: 1 }, '/lift'],
    [{ epoch: '2026-02-30' }, '/epoch'],
    [{ epoch: '30.2.2026' }, '/epoch'],
    [{ stage: 'base' }, '/stage'],
  ])('refuse %j by name', async (payload, field) => {
    const answer = await date('odd', payload);
    expect(answer.statusCode).toBe(400);
    expect(answer.json<ProblemDetails>().errors[0].path).toBe(field);
  });

  it('count as the top of a lift when somebody says so', async () => {
    expect((await date('odd', { stage: 'lift', lift: 2 })).json()).toMatchObject({ stage: 'lift', lift: 2 });
    expect((await date('odd', { stage: 'finished' })).json()).toMatchObject({
      stage: 'finished',
      lift: null,
    });
  });
});

describe('drawn lines', () => {
  beforeAll(() => start([[{ surfaceName: 'Levelled' }, shotsCsv(6)]]));
  afterAll(() => test.close());

  it('give covers without a bearing of their own that of the nearest centre line', async () => {
    // The street of the register runs up the central meridian.
    expect((await getCard('C-001')).roadBearingDeg).toBeCloseTo(0, 3);
    await layLine(test, {
      id: 'alignment',
      kind: 'centre',
      corners: [
        [-50, -30],
        [50, 70],
      ],
    });
    expect((await getCard('C-001')).roadBearingDeg).toBeCloseTo(45, 6);
    // C-006 stands 100 m on, past the limit of 40 m.
    expect((await getCard('C-006')).roadBearingDeg).toBeCloseTo(0, 3);
    expect((await getProject()).planStale).toBe(false);
  });

  it('part the shots where a crown is drawn', async () => {
    await test.plan();
    expect((await getPlan('C-001')).finished).toMatchObject({ shotsUsed: 8, breakLine: null });
    await layLine(test, {
      id: 'ridge',
      kind: 'other',
      corners: [
        [1, -50],
        [1, 150],
      ],
    });
    const url = `${projectPath}/lines/ridge`;
    const answer = await test.inject({
      method: 'PATCH',
      url,
      headers: { 'if-match': '"1"' },
      payload: { kind: 'crown' },
    });
    expect(answer.json()).toMatchObject({ properties: { kind: 'crown', use: 'breakLine', version: 2 } });
    expect(await test.plan()).toMatchObject({ unchanged: false });
    const { finished } = await getPlan('C-005');
    expect(finished).toMatchObject({ method: 'ownSide', shotsUsed: 5, breakLine: { kind: 'crown' } });
    expect(finished!.breakLine!.distanceM).toBeCloseTo(1, 6);
  });

  it('are listed with what planning takes them for', async () => {
    const { features } = (await test.inject(`${projectPath}/lines`)).json<LineCollection>();
    expect(features.map(({ id, properties: { kind, use } }) => [id, kind, use])).toEqual([
      ['alignment', 'centre', 'bearing'],
      ['ridge', 'crown', 'breakLine'],
    ]);
    expect(features[1].properties.lengthM).toBeCloseTo(200, 6);
    expect(features[1].geometry.coordinates).toHaveLength(2);
  });
});
