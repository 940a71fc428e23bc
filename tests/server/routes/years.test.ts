import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { OverlayPage, StructureOutlook } from '#shared/outlook.ts';
import type { RimRecord } from '#shared/rim-record.ts';
import type { Page } from '#shared/schema.ts';
import type { Structure, StructureCard } from '#shared/structure.ts';
import { agencyPath } from '../../helpers/app.ts';
import { closed, id, idsOf, planTwelveCovers, type TwelveCovers } from '../../helpers/twelve-covers.ts';

let test: TwelveCovers;
let boxRound: TwelveCovers['boxRound'];
let get: TwelveCovers['get'];
let post: TwelveCovers['post'];
let postOk: TwelveCovers['postOk'];
beforeAll(async () => {
  test = await planTwelveCovers();
  ({ boxRound, get, post, postOk } = test);
});
afterAll(() => test.close());

describe('the rims of a structure', () => {
  it('are in its history from the import that brought it', async () => {
    const { items } = await get<Page<RimRecord>>(`${agencyPath}/structures/C-001/rims`);
    expect(items).toMatchObject([
      {
        rimElevationM: 99.95,
        seatElevationM: 99.75,
        frameHeightM: 0.15,
        source: 'import',
        note: 'register.csv',
      },
    ]);
    expect(items[0].importId).not.toBeNull();
    expect((await get<Page<RimRecord>>(`${agencyPath}/structures/C-006/rims`)).items).toEqual([]);
  });

  it('are added by date; only one later than all others becomes the rim of the register', async () => {
    const url = `${agencyPath}/structures/C-002`;
    const before = await get<Structure>(url);
    const early = { date: '2019-05-01', rimElevationM: 99.93, pavementElevationM: 99.931, who: 'Survey' };
    expect((await post(`${url}/rims`, early)).statusCode).toBe(201);
    expect((await get<Structure>(url)).rimElevationM).toBe(99.95);
    const today = new Date().toISOString().slice(0, 10);
    const late = { date: today, rimElevationM: 99.98, note: 'one ring put in' };
    expect((await post(`${url}/rims`, late)).json()).toMatchObject({ source: 'levelled', who: null });
    const after = await get<StructureCard>(url);
    expect(after).toMatchObject({ rimElevationM: 99.98, version: before.version + 1 });
    expect(after.history[0].detail).toEqual({ rimElevationM: [99.95, 99.98], levelled: today });
    const { raises } = await get<StructureOutlook>(`${url}/outlook`);
    expect(raises.map(({ did, byM }) => [did, Math.round(byM * 1000)])).toEqual([
      ['raised', 20],
      ['raised', 30],
    ]);
    expect(raises[1].note).toBe('one ring put in');
  });

  it('of a day to come, or of no structure, are refused', async () => {
    const rim = { date: '2999-01-01', rimElevationM: 100 };
    const answer = await post(`${agencyPath}/structures/C-002/rims`, rim);
    expect([answer.statusCode, answer.json().errors[0].path]).toEqual([400, '/date']);
    expect(
      (await post(`${agencyPath}/structures/none/rims`, { ...rim, date: '2020-01-01' })).statusCode,
    ).toBe(404);
    expect(
      (await post(`${agencyPath}/structures/C-002/rims`, { ...rim, date: '2020-02-31' })).statusCode,
    ).toBe(400);
  });

  it('tell its trend against the pavement from three levellings on', async () => {
    const url = `${agencyPath}/structures/C-003`;
    const today = Number(new Date().toISOString().slice(0, 4));
    const years = [today - 4, today - 2, today - 1];
    for (const [index, year] of years.entries()) {
      if (index === 2) expect((await get<StructureOutlook>(`${url}/outlook`)).trend.ratePerYearM).toBeNull();
      const sunk = 0.001 * (year - years[0]);
      const rim = { date: `${year}-01-01`, rimElevationM: 99.95 - sunk, pavementElevationM: 99.95 };
      expect((await post(`${url}/rims`, rim)).statusCode).toBe(201);
    }
    const { trend } = await get<StructureOutlook>(`${url}/outlook`);
    expect(trend.epochs).toBe(3);
    expect(trend.ratePerYearM).toBeCloseTo(-0.001, 5);
    expect(trend.text).toContain('sinks');
  });
});

describe('an edit', () => {
  const url = `${agencyPath}/structures/C-004`;
  const patch = async (payload: object) => {
    const { version } = await get<Structure>(url);
    const headers = { 'if-match': `"${version}"` };
    expect((await test.inject({ method: 'PATCH', url, headers, payload })).statusCode).toBe(200);
    return (await get<StructureCard>(url)).history[0].id;
  };

  it('is undone with all that it changed, and its rim no longer stands in the history', async () => {
    const before = await get<StructureCard>(url);
    const edit = await patch({ rimElevationM: 99.99, owner: 'Drainage' });
    expect((await get<Page<RimRecord>>(`${url}/rims`)).items).toHaveLength(2);
    const undone = await postOk<Structure>(`${url}/history/${edit}/undo`);
    expect(undone).toMatchObject({ rimElevationM: 99.95, owner: before.owner, version: before.version + 2 });
    const after = await get<StructureCard>(url);
    expect(after.history[0].detail).toMatchObject({ rimElevationM: [99.99, 99.95], undoes: edit });
    expect((await get<Page<RimRecord>>(`${url}/rims`)).items).toHaveLength(1);
  });

  it('of a seat or a frame takes the record along that it brought', async () => {
    const rims = async () => (await get<Page<RimRecord>>(`${url}/rims`)).items.length;
    const before = await rims();
    for (const change of [{ frameHeightM: 0.2 }, { seatElevationM: 99.7 }]) {
      const edit = await patch(change);
      expect(await rims()).toBe(before + 1);
      await postOk(`${url}/history/${edit}/undo`);
      expect(await rims()).toBe(before);
    }
  });

  it('of the condition is undone, in whatever order the database keeps its fields', async () => {
    const { condition } = await get<Structure>(url);
    const edit = await patch({ condition: { ...condition, chimneyUnsound: true, located: true } });
    const undone = await postOk<Structure>(`${url}/history/${edit}/undo`);
    expect(undone.condition).toEqual(condition);
  });

  it('that was changed again is not, and says by what', async () => {
    const edit = await patch({ owner: 'Drainage', setDownM: 0.003 });
    await patch({ owner: 'Roads' });
    const answer = await post(`${url}/history/${edit}/undo`);
    expect(answer.statusCode).toBe(409);
    expect(answer.json().errors).toMatchObject([{ path: '/owner', value: 'Roads' }]);
    expect((await get<Structure>(url)).setDownM).toBe(0.003);
  });

  it('that is none is not found', async () => {
    const { history } = await get<StructureCard>(url);
    const imported = history.find(({ kind }) => kind === 'imported')!;
    expect((await post(`${url}/history/${imported.id}/undo`)).statusCode).toBe(404);
    expect((await post(`${url}/history/x/undo`)).statusCode).toBe(400);
  });
});

describe('the outlook of an overlay', () => {
  const outlook = `${agencyPath}/overlay-outlook`;

  it('answers for each structure, with counts over all of them', async () => {
    // The catalogue's limit is 300 mm: 260 mm of chimney takes no more than 40 mm.
    const page = await get<OverlayPage>(`${outlook}?thicknessM=0.05&project=quay-lane`);
    expect(page.limit).toEqual({ valueM: 0.3, from: 'catalogue', ringCatalogueId: 'rings' });
    expect(page).toMatchObject({ total: 12, counts: { yes: 10, no: 1, unknown: 1 }, next: null });
    expect(page.reasons).toEqual({ fits: 10, chimneyLimit: 1, noRim: 1 });
    const fifth = page.items.find(({ id }) => id === 'C-005')!;
    expect(fifth).toMatchObject({ answer: 'no', reason: 'chimneyLimit', overlaysLeft: 0 });
    expect(fifth.values.over).toBeCloseTo(0.01, 9);
    expect(fifth.text).toBe('The chimney would be 310 mm high, 10 mm past the limit of 300 mm: rebuild.');
  });

  it('says where the mill strikes', async () => {
    const page = await get<OverlayPage>(`${outlook}?thicknessM=0.05&millM=0.04&millClearanceM=0.025`);
    expect(page.items[0]).toMatchObject({ answer: 'no', reason: 'millStrikes' });
    expect(page.items[0].values.short).toBeCloseTo(0.015, 9);
  });

  it('is asked for streets and for a drawn area, the same by address and by body', async () => {
    const corners = await boxRound(3, 6);
    const text = corners.map((corner) => corner.join(',')).join(' ');
    const byAddress = await get<OverlayPage>(
      `${outlook}?${new URLSearchParams({ thicknessM: '0.05', polygon: text })}`,
    );
    const byBody = await postOk<OverlayPage>(outlook, { thicknessM: 0.05, polygon: closed(corners) });
    expect(idsOf(byAddress.items)).toEqual(['C-003', 'C-004', 'C-005', 'C-006']);
    expect(byBody.items).toEqual(byAddress.items);
    const streets = await get<OverlayPage>(`${outlook}?thicknessM=0.05&street=Quay%20Lane&street=Nowhere`);
    expect(streets.total).toBe(12);
    expect((await postOk<OverlayPage>(outlook, { thicknessM: 0.05, streets: ['Nowhere'] })).total).toBe(0);
  });

  it('is walked page by page, all rows or those of one answer', async () => {
    const walk = async (first: string) => {
      const items: string[] = [];
      for (let next: string | null = first; next !== null; ) {
        const page: OverlayPage = await get<OverlayPage>(next);
        items.push(...idsOf(page.items));
        next = page.next;
      }
      return items;
    };
    const all = await walk(`${outlook}?thicknessM=0.05&limit=5`);
    expect(all).toEqual(Array.from({ length: 12 }, (_, index) => id(index + 1)));
    const yes = await walk(`${outlook}?thicknessM=0.05&limit=3&answer=yes`);
    expect(yes).toEqual(all.filter((each) => each !== 'C-005' && each !== 'C-006'));
    const body = { thicknessM: 0.05, limit: 7 };
    const page = await postOk<OverlayPage>(outlook, body);
    const rest = await postOk<OverlayPage>(outlook, { ...body, after: page.next });
    expect([...idsOf(page.items), ...idsOf(rest.items)]).toEqual(all);
    expect(rest.next).toBeNull();
  });

  it('is a CSV that a spreadsheet runs nothing of', async () => {
    const url = `${agencyPath}/structures/C-001`;
    const { version } = await get<Structure>(url);
    const headers = { 'if-match': `"${version}"` };
    await test.inject({ method: 'PATCH', url, headers, payload: { owner: '=1+1' } });
    const answer = await test.inject(`${outlook}.csv?thicknessM=0.05`);
    expect(answer.headers['content-type']).toContain('text/csv');
    const lines = answer.body.split('\r\n');
    expect(lines).toHaveLength(14);
    expect(lines[1]).toContain("C-001,sanitary,'=1+1,Quay Lane,9.0000000,");
    expect(lines[1]).toContain(',0.0500,0.2500,0.1000,5');
    const posted = await post(`${outlook}.csv`, { thicknessM: 0.05 });
    expect(posted.body).toBe(answer.body);
  });

  it.each([
    ['thicknessM=0', '/thicknessM'],
    ['thicknessM=0.05&project=none', '/project'],
    ['thicknessM=0.05&colour=red', '/colour'],
    ['thicknessM=0.05&polygon=1,2', '/polygon'],
    ['thicknessM=0.05&polygon=1,2%201,x', '/polygon'],
    ['thicknessM=0.05&after=zz', '/after'],
  ])('with %s is refused naming %s', async (query, path) => {
    const answer = await test.inject(`${outlook}?${query}`);
    expect([answer.statusCode, answer.json().errors[0].path]).toEqual([400, path]);
  });
});
