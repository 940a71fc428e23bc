import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { Facts } from '#core/field/facts.ts';
import type { Acceptance } from '#shared/acceptance.ts';
import {
  agencyPath,
  createTestApp,
  projectPath,
  registerCsv,
  shotsCsv,
  type TestApp,
} from '../../helpers/app.ts';
import { made, send } from '../../helpers/field.ts';
import { storeFile } from '../../helpers/staged-import.ts';

let test: TestApp;
beforeAll(async () => {
  test = await createTestApp();
  await storeFile(test, 'register.csv', registerCsv(6));
  await storeFile(test, 'shots.csv', shotsCsv(6));
  await test.plan();
});
afterAll(() => test.close());

const acceptance = async (id: string) => {
  const answer = await test.inject(`${projectPath}/covers/${id}/acceptance`);
  expect(answer.statusCode).toBe(200);
  return answer.json<Acceptance>();
};
const codes = ({ reasons }: Acceptance) => reasons.map(({ code }) => code);
const rim = (id: string, rimErrorsM: [number, number, number, number], rest = {}) =>
  made(id, 'rimChecked', { method: 'level', rimErrorsM, sigmaM: 0.0005 }, rest);
async function patch(url: string, payload: object): Promise<void> {
  const { headers } = await test.inject(url);
  const ifMatch = { 'if-match': headers.etag as string };
  expect((await test.inject({ method: 'PATCH', url, headers: ifMatch, payload })).statusCode).toBe(200);
}

describe('GET acceptance', () => {
  it('is not yet while nothing was checked, and says whose the limits are', async () => {
    const found = await acceptance('C-001');
    expect(found).toMatchObject({ verdict: 'notYet', rim: null, accepted: null, lastSeq: 0 });
    expect(codes(found)).toEqual(['rimNotChecked']);
    expect(found.limits).toContainEqual({ name: 'Rim proud, at most', value: '6 mm', whose: 'default' });
    expect((await test.inject(`${projectPath}/covers/nowhere/acceptance`)).statusCode).toBe(404);
  });

  it('accepts a rim within its limits, and names the clock and the limits of one that is not', async () => {
    const check = rim('C-001', [0.002, 0.001, 0, 0.001]);
    await send(test, check);
    const within = await acceptance('C-001');
    expect(within).toMatchObject({ verdict: 'accept', rim: { id: check.id }, fieldStatus: 'set' });
    await send(test, rim('C-001', [0.002, 0.009, 0.002, -0.005]));
    const off = await acceptance('C-001');
    expect(off).toMatchObject({ verdict: 'offGrade', fieldStatus: 'offGrade', worst: { hour: 3 } });
    expect(off.reasons[0]).toEqual({
      code: 'rimOff',
      text: 'The rim is 9 mm proud at 3 o’clock; allowed are 6 mm proud and 6 mm low.',
    });
  });

  it('waits while a plate is open, records contradict each other or the collar cures', async () => {
    await send(test, made('C-002', 'plated', { plate: 'P-1', rimElevationM: null, ties: [] }));
    expect(codes(await acceptance('C-002'))).toContain('plateOpen');
    await send(test, made('C-002', 'reopened', { plate: 'P-1' }));
    const pouredAt = new Date().toISOString();
    const collar = { material: 'concrete', mix: 'C30', pouredAt, cureHours: 24 } as const;
    await send(test, made('C-002', 'collarPlaced', collar), rim('C-002', [0, 0, 0, 0]));
    const curing = await acceptance('C-002');
    expect([curing.verdict, codes(curing)]).toEqual(['notYet', ['curing', 'rimWithin']]);
    expect(curing.cures[0].releaseAt).not.toBeNull();
    const device = '11111111-2222-4333-8444-555555555555';
    await send(test, rim('C-002', [0.001, 0, 0, 0], { device }));
    const torn = await acceptance('C-002');
    expect(torn.verdict).toBe('notYet');
    expect(torn.reasons[0].code).toBe('conflict');
    expect(torn.conflicts[0]).toHaveLength(2);
  });

  it('holds a cover in an accessible route to the rule of 1/4 in and 1:48', async () => {
    const url = `${agencyPath}/structures/C-003`;
    await patch(projectPath, { policy: { acceptProudM: 0.02, acceptLowM: 0.02 } });
    // 2010 ADA Standards 303.2 and PROWAG R302.6.2: 1/4 in without a bevel. 303.3: 1/2 in with one.
    await send(test, rim('C-003', [0.008, 0.008, 0.008, 0.008]));
    expect((await acceptance('C-003')).verdict).toBe('accept');
    await patch(url, { accessibleRoute: true });
    expect(codes(await acceptance('C-003'))).toContain('routeNeedsBevel');
    await send(test, rim('C-003', [0.006, 0.006, 0.006, 0.006]));
    expect(codes(await acceptance('C-003'))).toEqual(
      expect.arrayContaining(['routeStepWithin', 'routeSlopeWithin']),
    );
    // 13 mm across a rim of 600 mm is 1:46, past PROWAG R302.5.1; the same along the road is none across.
    await send(test, rim('C-003', [0, 0.0064, 0, -0.0064]));
    expect(codes(await acceptance('C-003'))).toContain('routeSlopeOff');
    await send(test, rim('C-003', [0.0064, 0, -0.0064, 0]));
    expect(codes(await acceptance('C-003'))).not.toContain('routeSlopeOff');
    await patch(projectPath, { policy: { acceptProudM: null, acceptLowM: null } });
  });

  it('asks for straightedge and vacuum test where the agency does, by its table', async () => {
    const depth = { from: 0, to: null, includesFrom: true, includesTo: false };
    const table = {
      ...{
        id: 'ours',
        name: 'Ours',
        source: 'invented',
        scope: 'structure',
        diameterUnit: 'mm',
        depthUnit: 'm',
      },
      ...{ drawInHg: 10, startInHg: 10, endInHg: 9, settleSeconds: 0, headAt: 'frame', frameInPlace: true },
      ...{ passes: 'atLeast', rows: [{ diameter: null, depth, seconds: 60, secondsPerDepth: 0 }] },
    };
    const put = await test.inject({ method: 'PUT', url: `${agencyPath}/vacuum-tables/ours`, payload: table });
    expect(put.body).toContain('"id":"ours"');
    await patch(projectPath, {
      policy: { vacuumTest: 'all', vacuumTableId: 'ours', straightedgeAlongM: 0.005 },
    });
    await send(test, rim('C-004', [0, 0, 0, 0]));
    expect(codes(await acceptance('C-004'))).toEqual(
      expect.arrayContaining(['edgeNotMeasured', 'vacuumMissing']),
    );
    const facts: Facts['vacuum'] = {
      ...{ tableId: 'ours', scope: 'structure', diameterM: 1.2, depthM: 3, headAt: 'frame' },
      ...{ frameInPlace: true, startInHg: 10, endInHg: 9.5, seconds: 30, requiredSeconds: 60 },
      ...{ gauge: 'G-1', outcome: 'passed', reason: '' },
    };
    const edge = { lengthM: 3, along: { gapM: 0.006, proudM: 0 }, across: null };
    await send(test, made('C-004', 'vacuum', facts), made('C-004', 'straightedge', edge));
    const short = await acceptance('C-004');
    // Recorded as passed, but in half the time that the table asks for.
    expect(codes(short)).toEqual(expect.arrayContaining(['edgeOff', 'vacuumNotTested']));
    expect(short.vacuumTable).toMatchObject({ id: 'ours', source: 'invented' });
    await send(test, made('C-004', 'vacuum', { ...facts, seconds: 60 }));
    expect(codes(await acceptance('C-004'))).toContain('vacuumPassed');
    // The frame that was tested is another one once it is set anew.
    await send(test, made('C-004', 'frameSet', { centred: true, offsetM: null }));
    const anew = await acceptance('C-004');
    expect(codes(anew)).toContain('vacuumMissing');
    expect(anew.vacuum).toHaveLength(2);
  });
});
