import { afterAll, beforeAll, describe, expect, it, vi } from 'vitest';
import type { CoverCard } from '#shared/cover.ts';
import type { Structure, StructureCard } from '#shared/structure.ts';
import {
  agencyPath,
  createTestApp,
  projectPath,
  registerCsv,
  shotsCsv,
  type TestApp,
} from '../../helpers/app.ts';
import { hasPoppler, textOf } from '../../helpers/pdf.ts';
import { recount } from '../../helpers/recount.ts';
import { asProject, storeFile, uploadWhole } from '../../helpers/staged-import.ts';
import { decodePoints } from '../../helpers/vectorTile.ts';

vi.setConfig({ testTimeout: 30_000, hookTimeout: 30_000 });

let test: TestApp;
beforeAll(async () => {
  test = await createTestApp();
});
afterAll(() => test.close());

/** What a register leaves in the column of the seat, a cover each. */
const noData = ['', 'n/a', '0', '-9999', 'unknown'];
const withSeats = (seats: readonly string[]) =>
  registerCsv(seats.length, (line, index) => line.replace(',99.75,', `,${seats[index]},`));
const known = ['99.75', '99.75'];
const seats = [...known, ...noData];

const get = async <Body>(url: string) => (await test.inject(url)).json<Body>();
const structure = (id: string) => get<StructureCard>(`${agencyPath}/structures/${id}`);
const card = (id: string) => get<CoverCard>(`${projectPath}/covers/${id}`);

async function change(id: string, patch: object): Promise<Structure> {
  const { version } = await structure(id);
  const answer = await test.inject({
    method: 'PATCH',
    url: `${agencyPath}/structures/${id}`,
    headers: { 'if-match': `"${version}"` },
    payload: patch,
  });
  expect(answer.statusCode, answer.body).toBe(200);
  return answer.json();
}

describe('a register whose seats nobody measured', () => {
  it('is kept: what stands for no figure is named with its rows, and never becomes a seat', async () => {
    const client = await uploadWhole(test, [{ name: 'register.csv', content: withSeats(seats) }]);
    const { counts, warnings, problems } = (await client.answer({ questions: asProject })).preview!;
    expect(counts).toMatchObject({ new: 7, refused: 0 });
    expect(problems.filter(({ column }) => column === 'seat_elevation')).toEqual([]);
    expect(warnings).toEqual([
      'seat_elevation: n/a in 1 row (5), unknown in 1 row (8), 0 in 1 row (6), -9999 in 1 row (7) stands for no figure and is kept as not measured.',
      '5 structures have no seat elevation: kept and shown, and to be measured before a stack can be planned.',
    ]);
    await client.store(asProject);
    for (const [index, seat] of seats.entries()) {
      const { seatElevationM, rimElevationM } = await structure(`C-00${index + 1}`);
      expect(seatElevationM).toBe(known.includes(seat) ? 99.75 : null);
      expect(rimElevationM).toBe(99.95);
    }
  });

  it('is planned: those covers ask for the seat, with their finished grade and their rim, and no stack', async () => {
    await storeFile(test, 'shots.csv', shotsCsv(seats.length), { surfaceName: 'Levelled' });
    await test.plan();
    expect((await card('C-001')).plan).toMatchObject({ status: 'raise' });
    const { plan } = await card('C-003');
    expect(plan).toMatchObject({ status: 'remeasure', netBuildupM: null, stack: [], residual: null });
    expect(plan!.finished!.elevationM).toBeCloseTo(100, 3);
    expect(plan!.rimErrorM).toBeCloseTo(-0.05, 3);
    expect(plan!.reasons[0]).toEqual({ code: 'seatUnknown', values: { rim: 'known' } });
    const { items } = await get<{
      items: { id: string; buildupM: number | null; remainingM: number | null }[];
    }>(`${projectPath}/covers`);
    expect(items.find(({ id }) => id === 'C-003')).toMatchObject({ buildupM: null, remainingM: null });
    const outlook = await get<{ next: { reasons: unknown[] } }>(`${agencyPath}/structures/C-003/outlook`);
    expect(JSON.stringify(outlook.next)).toMatch(/seat/i);
  });

  it('is on the map, and counted', async () => {
    const { lon, lat } = await structure('C-003');
    const n = 2 ** 16;
    const phi = (lat * Math.PI) / 180;
    const x = Math.floor(((lon + 180) / 360) * n);
    const y = Math.floor(((1 - Math.asinh(Math.tan(phi)) / Math.PI) / 2) * n);
    const tile = await test.inject(`/tiles/covers/16/${x}/${y}.mvt?agency=mossvale&project=quay-lane`);
    const drawn = decodePoints(tile.rawPayload, 'covers', { z: 16, x, y });
    expect(drawn.map(({ properties }) => properties.id)).toContain('C-003');
    const { covers, counts } = await recount(test.database);
    expect([covers.kept, counts.kept]).toEqual([covers.counted, counts.counted]);
  });

  it.skipIf(!hasPoppler)('is on paper, which draws nothing that is not known', async () => {
    const sheet = await test.inject(`${projectPath}/covers/C-003/sheet.pdf`);
    const text = (await textOf(sheet.rawPayload)).replace(/\s+/g, ' ');
    expect(text).toContain('Measure the seat');
    expect(text).toContain('Nothing to draw: the seat was never measured.');
  });

  it('takes a seat on the card, plans with it, and goes back', async () => {
    const entered = await change('C-003', { seatElevationM: 99.75 });
    expect(entered.seatElevationM).toBe(99.75);
    const [edit] = (await structure('C-003')).history;
    expect(edit.detail).toEqual({ seatElevationM: [null, 99.75] });
    await test.plan();
    const planned = (await card('C-003')).plan!;
    expect(planned.status).toBe('raise');
    expect(planned.stack).toEqual((await card('C-001')).plan!.stack);
    const undone = await test.inject({
      method: 'POST',
      url: `${agencyPath}/structures/C-003/history/${edit.id}/undo`,
    });
    expect(undone.statusCode, undone.body).toBe(200);
    expect((await structure('C-003')).seatElevationM).toBeNull();
    const rims = await get<{ items: { seatElevationM: number | null }[] }>(
      `${agencyPath}/structures/C-003/rims`,
    );
    expect(rims.items.map(({ seatElevationM }) => seatElevationM)).toEqual([null]);
    await test.plan();
    expect((await card('C-003')).plan!.status).toBe('remeasure');
  });

  it('may forget a seat that was wrong, and take that back', async () => {
    await change('C-002', { seatElevationM: null });
    const [edit] = (await structure('C-002')).history;
    expect(edit.detail).toEqual({ seatElevationM: [99.75, null] });
    const url = `${agencyPath}/structures/C-002/history/${edit.id}/undo`;
    expect((await test.inject({ method: 'POST', url })).statusCode).toBe(200);
    expect((await structure('C-002')).seatElevationM).toBe(99.75);
    const rims = await get<{ items: { seatElevationM: number | null }[] }>(
      `${agencyPath}/structures/C-002/rims`,
    );
    expect(rims.items.map(({ seatElevationM }) => seatElevationM)).toEqual([99.75]);
  });

  it('is brought up to date by a file with seats; a later blank keeps them, and an undo takes them away', async () => {
    const given = await storeFile(test, 'seats.csv', withSeats(seats.map(() => '99.75')));
    expect(given.preview!.counts).toMatchObject({ changed: 5, same: 2 });
    const blank = await storeFile(test, 'again.csv', withSeats(seats));
    expect(blank.preview!.counts).toMatchObject({ changed: 0, same: 7 });
    expect(blank.preview!.warnings.at(-1)).toBe(
      'Blank cells keep what the register says: seat_elevation in 5 rows.',
    );
    expect((await structure('C-004')).seatElevationM).toBe(99.75);
    const undone = await test.inject({
      method: 'POST',
      url: `${projectPath}/imports/${given.id}/undo`,
      payload: { changedSince: 'refuse' },
    });
    expect(undone.statusCode, undone.body).toBe(200);
    expect((await structure('C-004')).seatElevationM).toBeNull();
  });

  it('takes a structure by hand without a seat, and refuses one out of the world', async () => {
    const payload = {
      ...{ id: 'H-1', kind: 'valveBox', crs: 'EPSG:25832', eastingM: 500_000, northingM: 5_316_410 },
      ...{ frameHeightM: 0.15, rimDiameterM: 0.3, projectId: 'quay-lane' },
    };
    const url = `${agencyPath}/structures`;
    const made = await test.inject({ method: 'POST', url, payload });
    expect(made.statusCode, made.body).toBe(201);
    expect(made.json()).toMatchObject({ seatElevationM: null });
    const wrong = { ...payload, id: 'H-2', seatElevationM: -9999 };
    const refused = await test.inject({ method: 'POST', url, payload: wrong });
    expect([refused.statusCode, refused.json().errors[0].path]).toEqual([400, '/seatElevationM']);
  });
});
