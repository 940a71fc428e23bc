import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { CoverCard, CoverRow } from '#shared/cover.ts';
import type { OverlayPage } from '#shared/outlook.ts';
import type { Project } from '#shared/project.ts';
import type { Page } from '#shared/schema.ts';
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
// Seat 99.75, frame 0.15 and rim 99.95: 50 mm of chimney; the ring catalogue's limit is 300 mm.
beforeAll(async () => {
  test = await createTestApp();
  await storeFile(test, 'register.csv', registerCsv(6));
  await storeFile(test, 'shots.csv', shotsCsv(6), { surfaceName: 'Levelled' });
  await test.plan();
});
afterAll(() => test.close());

const get = async <Body>(url: string): Promise<Body> => {
  const answer = await test.inject(url);
  expect(answer.statusCode, answer.body).toBe(200);
  return answer.json<Body>();
};
const patch = async (url: string, payload: object) => {
  const before = await test.inject(url);
  const headers = { 'if-match': String(before.headers.etag) };
  return test.inject({ method: 'PATCH', url, headers, payload });
};
const setLimit = (url: string, maxChimneyM: number | null) => patch(url, { policy: { maxChimneyM } });
const limitOf = async () => (await get<Project>(projectPath)).limits.maxChimneyM;
const outlook = () => get<OverlayPage>(`${agencyPath}/overlay-outlook?thicknessM=0.05&project=quay-lane`);

describe('the chimney limit', () => {
  it("is the ring catalogue's until the agency has one of its own, and the project's stands before both", async () => {
    expect(await limitOf()).toEqual({ value: 0.3, from: 'catalogue' });
    expect((await setLimit(agencyPath, 0.2)).statusCode).toBe(200);
    expect(await limitOf()).toEqual({ value: 0.2, from: 'agency' });
    expect((await outlook()).limit).toEqual({ valueM: 0.2, from: 'agency', ringCatalogueId: null });
    const register = await get<OverlayPage>(`${agencyPath}/overlay-outlook?thicknessM=0.05`);
    expect(register.limit).toEqual({ valueM: 0.2, from: 'agency', ringCatalogueId: null });
    expect((await setLimit(projectPath, 0.09)).statusCode).toBe(200);
    expect(await limitOf()).toEqual({ value: 0.09, from: 'project' });
    const answered = await outlook();
    expect(answered.limit).toEqual({ valueM: 0.09, from: 'project', ringCatalogueId: null });
    expect(answered.counts).toEqual({ yes: 0, no: 6, unknown: 0 });
    const { items } = await get<Page<CoverRow>>(`${projectPath}/covers`);
    expect(items[0].remainingM).toBeCloseTo(0.04, 9);
  });

  it('is what plans are made with', async () => {
    const before = await get<CoverCard>(`${projectPath}/covers/C-001`);
    expect(before.plan?.status).not.toBe('rebuild');
    expect((await setLimit(projectPath, 0.01)).statusCode).toBe(200);
    expect((await get<Project>(projectPath)).planStale).toBe(true);
    await test.plan();
    const after = await get<CoverCard>(`${projectPath}/covers/C-001`);
    expect(after.plan).toMatchObject({ status: 'rebuild' });
    expect(after.plan!.reasons.find(({ code }) => code === 'pastChimney')!.values.limit).toBe(0.01);
  });

  it('is taken back to whose was in force before, and every project of the agency is to be planned again', async () => {
    await setLimit(projectPath, null);
    await test.plan();
    expect(await limitOf()).toEqual({ value: 0.2, from: 'agency' });
    expect((await get<Project>(projectPath)).planStale).toBe(false);
    await setLimit(agencyPath, null);
    expect(await limitOf()).toEqual({ value: 0.3, from: 'catalogue' });
    expect((await get<Project>(projectPath)).planStale).toBe(true);
  });

  it('that was changed meanwhile is not put over, and one that rings cannot be searched up to is refused', async () => {
    const stale = (await test.inject(agencyPath)).headers.etag;
    await setLimit(agencyPath, 0.25);
    const answer = await test.inject({
      method: 'PATCH',
      url: agencyPath,
      headers: { 'if-match': String(stale) },
      payload: { policy: { maxChimneyM: 0.4 } },
    });
    expect(answer.statusCode).toBe(412);
    expect(
      (await test.inject({ method: 'PATCH', url: agencyPath, payload: { policy: {} } })).statusCode,
    ).toBe(428);
    for (const wrong of [0, -1, 5.1]) {
      const refused = await setLimit(agencyPath, wrong);
      expect([refused.statusCode, refused.json().errors[0].path]).toEqual([400, '/policy/maxChimneyM']);
    }
  });
});
