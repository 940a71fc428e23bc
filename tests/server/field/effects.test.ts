import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { CoverCard, CoverRow } from '#shared/cover.ts';
import type { Plate } from '#shared/plate.ts';
import type { Project } from '#shared/project.ts';
import {
  agencyPath,
  createTestApp,
  projectPath,
  registerCsv,
  shotsCsv,
  type TestApp,
} from '../../helpers/app.ts';
import { made, send } from '../../helpers/field.ts';
import { recount } from '../../helpers/recount.ts';
import { storeFile } from '../../helpers/staged-import.ts';

let test: TestApp;
beforeAll(async () => {
  test = await createTestApp();
  await storeFile(test, 'register.csv', registerCsv(8));
  await storeFile(test, 'shots.csv', shotsCsv(8));
  await test.plan();
});
afterAll(() => test.close());

const otherPhone = '11111111-2222-4333-8444-555555555555';
const card = async (id: string) => (await test.inject(`${projectPath}/covers/${id}`)).json<CoverCard>();
const list = async (query: string) =>
  (await test.inject(`${projectPath}/covers?${query}`)).json<{ items: CoverRow[] }>().items;
const counts = async () => (await test.inject(projectPath)).json<Project>().statusCounts;
const rim = (id: string, error: number) =>
  made(id, 'rimChecked', { method: 'level', rimErrorsM: [error, error, error, error], sigmaM: 0.001 });
const rings = (id: string, ring: string, rest = {}) =>
  made(id, 'ringsUsed', { stack: [{ ring, azimuthDeg: null }], asChosen: true, reason: '' }, rest);

async function expectTilesCounted(): Promise<void> {
  const { covers, counts: tiles } = await recount(test.database);
  expect(covers.kept).toEqual(covers.counted);
  expect(tiles.kept).toEqual(tiles.counted);
}

async function assign(ids: string[], night: string | null): Promise<string> {
  const payload = { selection: { ids }, crew: 'North', night };
  const answer = await test.inject({ method: 'POST', url: `${projectPath}/covers/assign`, payload });
  return answer.json().assignmentId;
}

describe('records from the field', () => {
  it('bring the status of card, list, counts and tiles, with who and when in the history', async () => {
    expect(await counts()).toEqual({ raise: 8 });
    await send(test, rings('C-001', 'F50'));
    await send(test, made('C-001', 'frameSet', { centred: true, offsetM: null }));
    expect((await card('C-001')).fieldStatus).toBe('set');
    expect(await counts()).toEqual({ raise: 7, set: 1 });
    expect((await list('status=set')).map(({ id }) => id)).toEqual(['C-001']);
    const [last] = (await card('C-001')).history;
    expect(last).toMatchObject({
      kind: 'field',
      detail: { recordKind: 'frameSet', by: 'Ida Brook', fieldStatus: ['stacked', 'set'] },
    });
    await send(test, rim('C-001', 0.0061));
    expect((await card('C-001')).fieldStatus).toBe('offGrade');
    await send(test, rim('C-001', 0.006));
    expect((await card('C-001')).fieldStatus).toBe('set');
    await expectTilesCounted();
  });

  it('that are taken back leave what was there before them', async () => {
    const record = rings('C-002', 'F50');
    await send(test, record);
    expect((await card('C-002')).fieldStatus).toBe('stacked');
    const back = made('C-002', 'withdrawn', { record: record.id, reason: 'wrong cover' });
    await send(test, back);
    expect((await card('C-002')).fieldStatus).toBeNull();
    await send(test, made('C-002', 'withdrawn', { record: back.id, reason: 'it was the right one' }));
    expect((await card('C-002')).fieldStatus).toBe('stacked');
    await expectTilesCounted();
  });

  it('of a plate keep its cover in the list of plates until it is reopened', async () => {
    const plates = async () => (await test.inject(`${projectPath}/plates`)).json<{ items: Plate[] }>().items;
    const ties = [{ to: 'hydrant', distanceM: 4.2 }];
    const plated = made('C-003', 'plated', { plate: 'P-7', rimElevationM: null, ties });
    await send(test, plated, made('C-003', 'frameSet', { centred: true, offsetM: null }));
    expect((await card('C-003')).fieldStatus).toBe('plated');
    expect(await plates()).toMatchObject([
      { structureId: 'C-003', plate: 'P-7', since: plated.deviceTime, by: 'Ida Brook', ties },
    ]);
    await send(test, made('C-003', 'reopened', { plate: 'P-7' }));
    expect(await plates()).toEqual([]);
  });

  it('of two phones that contradict each other are both kept and shown until a person settles it', async () => {
    const [a, b] = [rings('C-004', 'F20'), rings('C-004', 'F50', { device: otherPhone, by: 'Tom Weir' })];
    await send(test, a);
    expect((await card('C-004')).conflict).toBe(false);
    await send(test, b);
    expect((await card('C-004')).conflict).toBe(true);
    expect((await list('conflict=yes')).map(({ id, conflict }) => [id, conflict])).toEqual([['C-004', true]]);
    await send(test, made('C-004', 'settled', { keep: b.id, over: [a.id], reason: 'looked at it' }));
    expect(await list('conflict=yes')).toEqual([]);
    const last = (await test.inject(`${projectPath}/field-records?structure=C-004`)).json().items;
    expect(last).toHaveLength(3);
    const seen = last.at(-1).seq;
    await send(test, rings('C-004', 'F30', { device: otherPhone, seen }));
    expect(await list('conflict=yes')).toEqual([]);
  });

  it('of an acceptance write the rim that was measured into the register', async () => {
    const before = await card('C-005');
    const target = before.plan!.finished!.elevationM;
    await send(test, rings('C-005', 'F50'), rim('C-005', 0.002));
    const word = made('C-005', 'accepted', { accepted: true, reasons: [], reason: '' }, { by: 'Ann Quill' });
    await send(test, word);
    const after = await card('C-005');
    expect(after.fieldStatus).toBe('accepted');
    expect(after.structure.rimElevationM).toBeCloseTo(target + 0.002, 9);
    const { items } = (await test.inject(`${agencyPath}/structures/C-005/rims`)).json();
    expect(items.at(-1)).toMatchObject({ source: 'levelled', who: 'Ann Quill' });
    await send(test, word);
    expect((await test.inject(`${agencyPath}/structures/C-005/rims`)).json().items).toHaveLength(
      items.length,
    );
    await expectTilesCounted();
  });

  it('keep the stack that stands: another plan marks it and leaves it', async () => {
    const before = (await card('C-001')).plan;
    await storeFile(
      test,
      'register.csv',
      registerCsv(8, (line) => line.replace(',99.75,', ',99.74,')),
    );
    await test.plan();
    const after = await card('C-001');
    expect(after.plan).toEqual(before);
    expect(after.fieldStatus).toBe('set');
    expect((await list('q=C-001'))[0].planStale).toBe(true);
    expect((await card('C-008')).plan!.revision).toBe(2);
    await expectTilesCounted();
  });
});

describe('a night', () => {
  it('makes a cover with a plan `planned`, and is taken back where nothing was recorded', async () => {
    await assign(['C-006', 'C-007'], '2026-11-26');
    expect((await card('C-006')).fieldStatus).toBe('planned');
    await send(test, rings('C-007', 'F50'));
    await expectTilesCounted();
    const id = await assign(['C-006', 'C-007'], null);
    expect((await card('C-006')).fieldStatus).toBeNull();
    expect((await card('C-007')).fieldStatus).toBe('stacked');
    await test.inject({ method: 'POST', url: `${projectPath}/covers/assign/${id}/undo` });
    expect((await card('C-006')).fieldStatus).toBe('planned');
    await expectTilesCounted();
  });
});

describe('an acceptance', () => {
  const accept = (id: string) => made(id, 'accepted', { accepted: true, reasons: [], reason: '' });
  const rims = async (id: string) => (await test.inject(`${agencyPath}/structures/${id}/rims`)).json().items;

  it('that is taken back takes the rim out of the register too, and puts it in again when it stands again', async () => {
    const [before, rimsBefore] = [await card('C-008'), await rims('C-008')];
    const [check, word] = [rim('C-008', 0.003), accept('C-008')];
    await send(test, rings('C-008', 'F50'), check, word);
    const built = (await card('C-008')).structure.rimElevationM!;
    expect(built).toBeCloseTo(before.plan!.finished!.elevationM + 0.003, 9);
    expect(await rims('C-008')).toHaveLength(rimsBefore.length + 1);
    const back = made('C-008', 'withdrawn', { record: word.id, reason: 'the wrong cover' });
    await send(test, back);
    expect((await card('C-008')).fieldStatus).toBe('set');
    expect((await card('C-008')).structure.rimElevationM).toBe(before.structure.rimElevationM);
    expect(await rims('C-008')).toEqual(rimsBefore);
    await send(test, made('C-008', 'withdrawn', { record: back.id, reason: 'it was the right one' }));
    expect((await card('C-008')).fieldStatus).toBe('accepted');
    expect((await card('C-008')).structure.rimElevationM).toBe(built);
    // What is done to the cover later does not make the rim untrue that was accepted.
    await send(test, rim('C-008', 0.004));
    expect((await card('C-008')).structure.rimElevationM).toBe(built);
    expect(await rims('C-008')).toHaveLength(rimsBefore.length + 1);
  });

  it('that is taken back leaves what somebody put into the register since', async () => {
    const word = accept('C-006');
    await send(test, rings('C-006', 'F50'), rim('C-006', 0.001), word);
    const payload = { date: new Date().toISOString().slice(0, 10), rimElevationM: 101.25 };
    const url = `${agencyPath}/structures/C-006/rims`;
    expect((await test.inject({ method: 'POST', url, payload })).statusCode).toBe(201);
    await send(test, made('C-006', 'withdrawn', { record: word.id, reason: 'again' }));
    expect((await card('C-006')).structure.rimElevationM).toBe(101.25);
  });

  it('makes no plan stale, neither its own nor that of the project', async () => {
    await test.plan();
    await send(test, rings('C-007', 'F50'), rim('C-007', 0.004), accept('C-007'));
    expect((await card('C-007')).planStale).toBe(false);
    expect((await test.inject(projectPath)).json<Project>().planStale).toBe(false);
    await storeFile(
      test,
      'register.csv',
      registerCsv(8, (line) => line.replace(',99.74,', ',99.73,')),
    );
    await storeFile(
      test,
      'register.csv',
      registerCsv(8, (line) => line.replace(',99.75,', ',99.72,')),
    );
    await test.plan();
    expect((await list('q=C-001'))[0].planStale).toBe(true);
    expect((await list('q=C-007'))[0]).toMatchObject({ fieldStatus: 'accepted', planStale: false });
    await expectTilesCounted();
  });
});

describe('limits of acceptance', () => {
  it('judge checked rims anew when they change, of a project or of the agency', async () => {
    const patch = async (url: string, policy: object) => {
      const { headers } = await test.inject(url);
      const done = await test.inject({
        method: 'PATCH',
        url,
        headers: { 'if-match': headers.etag as string },
        payload: { policy },
      });
      expect(done.statusCode).toBe(200);
    };
    await send(test, rings('C-002', 'F50'), rim('C-002', 0.005));
    expect((await card('C-002')).fieldStatus).toBe('set');
    await patch(projectPath, { acceptProudM: 0.003 });
    expect((await card('C-002')).fieldStatus).toBe('offGrade');
    expect((await list('status=offGrade')).map(({ id }) => id)).toContain('C-002');
    await patch(projectPath, { acceptProudM: null });
    expect((await card('C-002')).fieldStatus).toBe('set');
    await patch(agencyPath, { acceptProudM: 0.004 });
    expect((await card('C-002')).fieldStatus).toBe('offGrade');
    await patch(agencyPath, { acceptProudM: null });
    await expectTilesCounted();
  });
});

describe('a cover that got its night before its plan', () => {
  it('is planned as soon as the plan is in force, for status, counts and tiles', async () => {
    await storeFile(test, 'more.csv', registerCsv(9));
    await assign(['C-009'], '2026-11-27');
    expect((await card('C-009')).fieldStatus).toBeNull();
    await storeFile(test, 'shots.csv', shotsCsv(9));
    await test.plan();
    expect(await card('C-009')).toMatchObject({ fieldStatus: 'planned', plan: { status: 'raise' } });
    await expectTilesCounted();
  });
});
