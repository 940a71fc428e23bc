import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { CoverCard, NearShot } from '#shared/cover.ts';
import type { Surface } from '#shared/surface.ts';
import { createTestApp, projectPath, registerCsv, shotsCsv, type TestApp } from '../../helpers/app.ts';
import { storeFile } from '../../helpers/staged-import.ts';

let test: TestApp;
beforeAll(async () => {
  test = await createTestApp();
  await storeFile(test, 'register.csv', registerCsv(3));
  await storeFile(test, 'shots.csv', shotsCsv(3));
  await test.plan();
});
afterAll(() => test.close());

const card = async () => (await test.inject(`${projectPath}/covers/C-001`)).json<CoverCard>();
const addressOf = ({ surface, point }: NearShot) =>
  `${projectPath}/surfaces/${surface}/shots/${encodeURIComponent(point)}`;
const shotCount = async () =>
  (await test.inject(`${projectPath}/surfaces`)).json<{ items: Surface[] }>().items[0].shotCount;
const seen = ({ eastingM, northingM, elevationM }: NearShot) => ({ eastingM, northingM, elevationM });

describe('a shot put right by hand', () => {
  it('is planned from after the next plan, of the covers near it alone', async () => {
    const [shot] = (await card()).shots;
    const payload = { seen: seen(shot), elevationM: shot.elevationM + 0.002, why: 'Rod was not plumb' };
    const reply = await test.inject({ method: 'PATCH', url: addressOf(shot), payload });
    expect(reply.statusCode).toBe(204);
    expect((await card()).planStale).toBe(true);
    const job = await test.plan();
    expect(job).toMatchObject({ state: 'done', planRevision: 2 });
    const after = (await card()).shots.find(({ point }) => point === shot.point)!;
    expect(after.elevationM).toBeCloseTo(shot.elevationM + 0.002, 9);
  });

  it('is refused where it is not as it was seen, and nothing changes', async () => {
    const [shot] = (await card()).shots;
    const payload = { seen: { ...seen(shot), elevationM: 1 }, elevationM: 2, why: 'Typo' };
    const reply = await test.inject({ method: 'PATCH', url: addressOf(shot), payload });
    expect(reply.statusCode).toBe(409);
    expect((await card()).shots[0]).toEqual(shot);
    expect((await card()).planStale).toBe(false);
  });

  it('that is left out is gone from the plan, and what it was is kept with the reason', async () => {
    const before = await card();
    const [shot] = before.shots;
    const payload = { seen: seen(shot), why: 'Taken on a stone' };
    const count = await shotCount();
    const reply = await test.inject({ method: 'DELETE', url: addressOf(shot), payload });
    expect(reply.statusCode).toBe(204);
    expect(await shotCount()).toBe(count - 1);
    expect((await card()).shots).toHaveLength(before.shots.length - 1);
    const [kept] = await test.database
      .sql`select before, after, why from shot_edits order by edit_id desc limit 1`;
    expect(kept).toMatchObject({ before: seen(shot), after: null, why: 'Taken on a stone' });
  });

  it('needs a reason, and a number', async () => {
    const [shot] = (await card()).shots;
    const url = addressOf(shot);
    for (const payload of [
      { seen: seen(shot), elevationM: 100 },
      { seen: seen(shot), elevationM: 'high', why: 'x' },
    ]) {
      expect((await test.inject({ method: 'PATCH', url, payload })).statusCode).toBe(400);
    }
  });
});
