import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { CoverCard } from '#shared/cover.ts';
import type { CrewNight } from '#shared/crew-night.ts';
import { createTestApp, projectPath, registerCsv, shotsCsv, type TestApp } from '../../helpers/app.ts';
import { made, send } from '../../helpers/field.ts';
import { storeFile } from '../../helpers/staged-import.ts';

let test: TestApp;
beforeAll(async () => {
  test = await createTestApp();
  await storeFile(test, 'register.csv', registerCsv(4));
  await storeFile(test, 'shots.csv', shotsCsv(4));
  await test.plan();
});
afterAll(() => test.close());

const card = async (id: string) => (await test.inject(`${projectPath}/covers/${id}`)).json<CoverCard>();
const rim = (id: string, rimErrorsM: [number, number, number, number]) =>
  made(id, 'rimChecked', { method: 'string', rimErrorsM, sigmaM: 0.0005 });

/** What a flat stack of the test's catalogue is high with its joints, metres. */
const heightOf = (stack: readonly { ring: string }[]) =>
  stack.reduce((sum, { ring }) => sum + Number(ring.slice(1)) / 1000, 0) + 0.0025 * (stack.length + 1);

describe('a rim off grade', () => {
  it('gets the stack for the seat as it was measured, on card and phone, beside the plan', async () => {
    const before = await card('C-001');
    expect(before.newStack).toBeNull();
    const built = before.plan!.stack;
    // The seat is 20 mm higher than the register has it: the rim of the planned stack stands out by that.
    const off = heightOf(built) - (0.25 - 0.15) + 0.02;
    const check = rim('C-001', [off, off, off, off]);
    await send(test, made('C-001', 'ringsUsed', { stack: built, asChosen: true, reason: '' }), check);
    const after = await card('C-001');
    expect(after.fieldStatus).toBe('offGrade');
    expect(after.plan).toEqual(before.plan);
    const { record, answer, problem } = after.newStack!;
    expect([record, problem]).toEqual([check.id, null]);
    expect(answer).toMatchObject({ builtFrom: 'ringsUsed', built, withinTolerance: true });
    expect(answer!.seatHigherM).toBeCloseTo(0.02, 6);
    expect(answer!.stack).not.toEqual(built);
    expect(Math.abs(heightOf(answer!.stack) - 0.08)).toBeLessThanOrEqual(0.006);
    await test.inject({
      method: 'POST',
      url: `${projectPath}/covers/assign`,
      payload: { selection: { ids: ['C-001'] }, crew: 'North', night: '2026-11-26' },
    });
    const night = await test.inject(`${projectPath}/crew-night?night=2026-11-26&crew=North`);
    expect(night.json<CrewNight>().cards[0].newStack).toEqual(after.newStack);
    // Taken, it is the stack that is built; the plan stays beside it.
    const { stack, jointM, residual } = answer!;
    await send(
      test,
      made('C-001', 'stackChosen', {
        ...{ because: 'other', reason: 'New stack from the rim as measured', tapes: null, truck: null },
        ...{ jointM, stack, worstM: residual.worstM, centreM: residual.centreM, tiltM: residual.tiltM },
        ...{ planRevision: before.plan!.revision, planStack: built },
      }),
    );
    const taken = await card('C-001');
    expect(taken).toMatchObject({ fieldStatus: 'planned', newStack: null });
    expect(taken.plan).toEqual(before.plan);
  });

  it('is read from the rings that were chosen or planned where none were recorded as used', async () => {
    const { plan } = await card('C-002');
    await send(test, rim('C-002', [0.03, 0.03, 0.03, 0.03]));
    expect((await card('C-002')).newStack!.answer).toMatchObject({ builtFrom: 'plan', built: plan!.stack });
  });

  it('gets none while records contradict each other or a ring is unknown, and says so', async () => {
    const used = { stack: [{ ring: 'X99', azimuthDeg: null }], asChosen: false, reason: 'found' };
    await send(test, made('C-003', 'ringsUsed', used), rim('C-003', [0.02, 0.02, 0.02, 0.02]));
    expect((await card('C-003')).newStack).toMatchObject({
      answer: null,
      problem: 'The rings that stand are not known: record the rings used.',
    });
    const device = '11111111-2222-4333-8444-555555555555';
    await send(test, { ...rim('C-003', [0.03, 0.02, 0.02, 0.02]), device });
    expect((await card('C-003')).newStack!.problem).toContain('contradict');
  });

  it('is solved with the rope of a vacuum test that is asked for since, from the joints that it stood on', async () => {
    const before = await test.inject(projectPath);
    const { statusCode } = await test.inject({
      ...{ method: 'PATCH', url: projectPath, headers: { 'if-match': before.headers.etag as string } },
      payload: { policy: { vacuumTest: 'all', thickRopeM: 0.0125 } },
    });
    expect(statusCode).toBe(200);
    const built = (await card('C-004')).plan!.stack;
    const off = heightOf(built) - (0.25 - 0.15) + 0.02;
    await send(
      test,
      made('C-004', 'ringsUsed', { stack: built, asChosen: true, reason: '' }),
      rim('C-004', [off, off, off, off]),
    );
    const { answer } = (await card('C-004')).newStack!;
    expect(answer!.seatHigherM).toBeCloseTo(0.02, 6);
    expect(answer!.jointM).toEqual({ base: 0.0125, between: 0.0025, top: 0.0125 });
    // Two ropes of 10 mm more than the usual joints.
    expect(Math.abs(heightOf(answer!.stack) + 0.02 - 0.08)).toBeLessThanOrEqual(0.006);
    expect(answer!.withinTolerance).toBe(true);
  });

  it('waits for a seat that nobody measured, and says what to do instead', async () => {
    expect((await card('C-002')).newStack!.answer).not.toBeNull();
    const url = '/api/agencies/mossvale/structures/C-002';
    const { headers } = await test.inject(url);
    const changed = await test.inject({
      ...{ method: 'PATCH', url, headers: { 'if-match': headers.etag as string } },
      payload: { seatElevationM: null },
    });
    expect(changed.statusCode, changed.body).toBe(200);
    expect((await card('C-002')).newStack).toMatchObject({
      answer: null,
      problem: 'The seat was never measured: tape down to it, and solve again at the hole.',
    });
  });
});
