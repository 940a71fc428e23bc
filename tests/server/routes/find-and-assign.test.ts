import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { AssignResult, AssignUndo } from '#shared/assignment.ts';
import type { CoverCard, CoverRow } from '#shared/cover.ts';
import type { ProjectPlots } from '#shared/plots.ts';
import type { Page } from '#shared/schema.ts';
import type { SearchResult } from '#shared/search.ts';
import type { Structure } from '#shared/structure.ts';
import { agencyPath, projectPath } from '../../helpers/app.ts';
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

describe('search', () => {
  const search = (q: string) => get<SearchResult>(`${agencyPath}/search?${new URLSearchParams({ q })}`);

  it('finds ids by their beginning, their number and a part', async () => {
    expect(idsOf((await search('c-01')).structures)).toEqual(['C-010', 'C-011', 'C-012']);
    expect((await search('C-012')).structures).toMatchObject([
      { id: 'C-012', match: 'id', projects: ['quay-lane'] },
    ]);
    expect((await search('7')).structures).toMatchObject([{ id: 'C-007', match: 'part' }]);
    expect(idsOf((await search('-00')).structures)).toHaveLength(9);
    expect((await search('%')).structures).toEqual([]);
    expect((await search('_')).structures).toEqual([]);
  });

  it('finds streets by any part of their name, with what lies along them, and owners', async () => {
    const { streets } = await search('lane');
    expect(streets).toMatchObject([{ name: 'Quay Lane', structures: 12 }]);
    expect(streets[0].boundsLonLat[1]).toBeLessThan(streets[0].boundsLonLat[3]);
    expect((await search('quay')).streets).toHaveLength(1);
    expect((await search('works')).owners[0]).toMatchObject({ name: 'Sewer works' });
  });

  it('asks for text, and never looks into another agency', async () => {
    expect((await test.inject(`${agencyPath}/search?q=%20`)).statusCode).toBe(400);
    expect((await test.inject(`${agencyPath}/search`)).statusCode).toBe(400);
    const elsewhere = await get<SearchResult>('/api/agencies/elsewhere/search?q=C');
    expect(elsewhere).toEqual({ structures: [], streets: [], owners: [], more: false });
  });
});

describe('the list of covers', () => {
  const walk = async (query: string) => {
    const items: CoverRow[] = [];
    for (let next: string | null = `${projectPath}/covers?limit=5&${query}`; next !== null; ) {
      const page: Page<CoverRow> = await get<Page<CoverRow>>(next);
      items.push(...page.items);
      next = page.next;
    }
    return items;
  };

  it.each(['id', 'street', 'status', 'netBuildup', 'worst', 'remaining'])(
    'by %s gives every cover once, up and down, unknown values last',
    async (sort) => {
      for (const direction of ['up', 'down']) {
        const rows = await walk(`sort=${sort}&direction=${direction}`);
        expect(new Set(idsOf(rows)).size).toBe(12);
        expect(rows).toHaveLength(12);
        const value: (row: CoverRow) => string | number | null = {
          id: (row: CoverRow) => row.id,
          street: (row: CoverRow) => row.stationM,
          status: (row: CoverRow) => ['review', 'lower', 'raise'].indexOf(row.status!),
          netBuildup: (row: CoverRow) => row.netBuildupM,
          worst: (row: CoverRow) => row.worstM,
          remaining: (row: CoverRow) => row.remainingM,
        }[sort]!;
        const values = rows.map(value);
        const known = values.filter((each) => each !== null);
        expect(values.slice(0, known.length)).toEqual(known);
        const sorted = [...known].sort((a, b) => (a < b ? -1 : a > b ? 1 : 0));
        expect(known).toEqual(direction === 'up' ? sorted : sorted.reverse());
      }
    },
  );

  it('says what is left of each chimney', async () => {
    const [row] = await walk('sort=remaining');
    expect(row.id).toBe('C-005');
    expect(row.buildupM).toBeCloseTo(0.26, 9);
    expect(row.remainingM).toBeCloseTo(0.04, 9);
  });

  it('is filtered by a drawn area, kind and status together', async () => {
    const polygon = (await boxRound(4, 8)).map((corner) => corner.join(',')).join(' ');
    const rows = await walk(`${new URLSearchParams({ polygon, kind: 'sanitary', status: 'raise,review' })}`);
    expect(idsOf(rows)).toEqual(['C-004', 'C-006', 'C-007', 'C-008']);
    expect(await walk('status=unplanned')).toEqual([]);
  });

  it('refuses a place in another order', async () => {
    const { next } = await get<Page<CoverRow>>(`${projectPath}/covers?sort=worst&limit=2`);
    const after = new URLSearchParams(next!.split('?')[1]).get('after');
    for (const sort of ['netBuildup', 'street', 'id']) {
      const answer = await test.inject(`${projectPath}/covers?sort=${sort}&after=${after}`);
      expect([answer.statusCode, answer.json().errors[0].path]).toEqual([400, '/after']);
    }
  });
});

describe('an assignment', () => {
  const assignPath = `${projectPath}/covers/assign`;
  const cover = (one: string) => get<CoverCard>(`${projectPath}/covers/${one}`);

  it('is counted before it is made, made with a line of history each, and undone', async () => {
    const body = {
      selection: { ids: ['C-001', 'C-002', 'none'] },
      crew: 'Night crew 2',
      night: '2026-12-01',
    };
    const counted = await postOk<AssignResult>(assignPath, { ...body, preview: true });
    expect(counted).toMatchObject({
      matched: 2,
      changed: 2,
      joined: 0,
      missing: ['none'],
      assignmentId: null,
    });
    expect((await cover('C-001')).crew).toBeNull();
    const made = await postOk<AssignResult>(assignPath, body);
    const card = await cover('C-001');
    expect(card).toMatchObject({
      crew: 'Night crew 2',
      night: '2026-12-01',
      fieldStatus: 'planned',
      planStale: false,
    });
    expect(card.history[0].detail).toMatchObject({
      project: 'quay-lane',
      crew: [null, 'Night crew 2'],
      night: [null, '2026-12-01'],
      assignment: made.assignmentId,
    });
    const query = new URLSearchParams({ crew: 'Night crew 2', night: '2026-12-01' });
    expect((await get<Page<CoverRow>>(`${projectPath}/covers?${query}`)).items).toHaveLength(2);
    const again = await postOk<AssignResult>(assignPath, body);
    expect(again).toMatchObject({ changed: 0, same: 2, assignmentId: null });

    await postOk(assignPath, { selection: { ids: ['C-002'] }, crew: 'Day crew' });
    const undone = await postOk<AssignUndo>(`${assignPath}/${made.assignmentId}/undo`);
    expect(undone).toEqual({
      restored: 1,
      removed: 0,
      refused: [{ id: 'C-002', why: 'crew is "Day crew" now' }],
      refusedCount: 1,
    });
    expect(await cover('C-001')).toMatchObject({ crew: null, night: null });
    expect(await cover('C-002')).toMatchObject({ crew: 'Day crew', night: '2026-12-01' });
    expect((await post(`${assignPath}/${made.assignmentId}/undo`)).statusCode).toBe(409);
  });

  it('puts back only what it gave', async () => {
    const night = await postOk<AssignResult>(assignPath, {
      selection: { ids: ['C-009'] },
      night: '2026-12-03',
    });
    await postOk(assignPath, { selection: { ids: ['C-009'] }, crew: 'Later' });
    await postOk(`${assignPath}/${night.assignmentId}/undo`);
    expect(await cover('C-009')).toMatchObject({ crew: 'Later', night: null });
  });

  it('takes what is drawn, and what a filter finds', async () => {
    const polygon = closed(await boxRound(10, 12));
    const drawn = { selection: { polygon }, night: '2026-12-02', preview: true };
    expect((await postOk<AssignResult>(assignPath, drawn)).matched).toBe(3);
    const filter = { kind: 'sanitary', crew: null, status: 'raise' };
    const found = await postOk<AssignResult>(assignPath, { selection: { filter }, crew: 'X', preview: true });
    expect(found.matched).toBeGreaterThan(5);
  });

  it('makes structures of the register covers of the project, and its undo takes them out again', async () => {
    const lonely = { id: 'R-1', kind: 'storm', crs: 'EPSG:25832', eastingM: 500_000, northingM: 5_316_500 };
    const rest = { seatElevationM: 99.7, frameHeightM: 0.15, rimDiameterM: 0.6 };
    expect((await post(`${agencyPath}/structures`, { ...lonely, ...rest })).statusCode).toBe(201);
    const body = { selection: { ids: ['R-1', 'C-001'] }, from: 'register' };
    const made = await postOk<AssignResult>(assignPath, body);
    expect(made).toMatchObject({ matched: 2, joined: 1, changed: 0, same: 1 });
    expect((await cover('R-1')).stationM).toBeGreaterThan(0);
    const undone = await postOk<AssignUndo>(`${assignPath}/${made.assignmentId}/undo`);
    expect(undone).toMatchObject({ removed: 1, restored: 0, refused: [] });
    expect((await test.inject(`${projectPath}/covers/R-1`)).statusCode).toBe(404);
  });

  it.each([
    [{ selection: {}, crew: 'X' }, '/selection'],
    [{ selection: { ids: ['A'], filter: {} }, crew: 'X' }, '/selection'],
    [{ selection: { ids: ['A'] } }, '/crew'],
    [{ selection: { ids: ['A'] }, night: '2026-13-01' }, '/night'],
    [{ selection: { filter: { status: 'odd' } }, crew: 'X' }, '/selection/filter/status'],
    [{ selection: { filter: { crew: 'X' } }, from: 'register' }, '/selection/filter/crew'],
    [{ selection: { ids: ['A'] }, crew: 'X', hue: 1 }, '/hue'],
  ])('with %j is refused naming %s', async (body, path) => {
    const answer = await post(assignPath, body);
    expect([answer.statusCode, answer.json().errors[0].path]).toEqual([400, path]);
  });
});

describe('a plan that was stacked and is stale', () => {
  it('shows with the row and the card', async () => {
    await test.database.sql`
      update project_covers set plan_stale = true, field_status = 'stacked' where structure_id = 'C-011'`;
    const { items } = await get<Page<CoverRow>>(`${projectPath}/covers?status=stacked`);
    expect(items).toMatchObject([{ id: 'C-011', planStale: true, fieldStatus: 'stacked' }]);
    expect(await get(`${projectPath}/covers/C-011`)).toMatchObject({
      planStale: true,
      fieldStatus: 'stacked',
    });
  });
});

describe('the plots of a project', () => {
  it('count every cover once in each', async () => {
    const plots = await get<ProjectPlots>(`${projectPath}/plots`);
    for (const { bins, below, above, unknown, binM } of [plots.netBuildup, plots.worst]) {
      expect(bins.reduce((sum, { covers }) => sum + covers, below + above + unknown)).toBe(12);
      for (const { fromM, toM } of bins) expect(toM - fromM).toBeCloseTo(binM, 9);
    }
    expect(plots.netBuildup).toMatchObject({ unit: 'mm', binM: 0.01 });
    expect(plots.worst.binM).toBe(0.001);
    const [{ stacks }] = await test.database.sql<{ stacks: number }[]>`
      select count(*)::int as stacks from project_covers
      where project_id = 'quay-lane' and worst_m is not null and status not in ('leave', 'rebuild')`;
    expect(12 - plots.worst.unknown).toBe(stacks);
    expect(plots.remainingByStreet).toMatchObject([
      { street: 'Quay Lane', covers: 12, unknown: 1, pastLimit: 0 },
    ]);
    expect(plots.remainingByStreet[0].medianM).toBeCloseTo(0.25, 6);
    expect(plots.remainingByStreet[0].leastM).toBeCloseTo(0.04, 6);
    expect(plots.nights.reduce((sum, { covers }) => sum + covers, 0)).toBe(12);
    expect(plots.nights.at(-1)!.night).toBeNull();
  });

  it('follow a rim at once, though streets are not counted again without a change', async () => {
    const least = async () => (await get<ProjectPlots>(`${projectPath}/plots`)).remainingByStreet[0].leastM;
    const before = await least();
    expect(await least()).toBe(before);
    const structure = await test.inject(`${agencyPath}/structures/${id(5)}`);
    const { rimElevationM } = structure.json<Structure>();
    const reply = await test.inject({
      method: 'PATCH',
      url: `${agencyPath}/structures/${id(5)}`,
      headers: { 'if-match': structure.headers.etag as string },
      payload: { rimElevationM: rimElevationM! + 0.02 },
    });
    expect(reply.statusCode, reply.body).toBe(200);
    expect(await least()).toBeCloseTo(before! - 0.02, 6);
  });
});

it('finds an id by letters and figures in its middle, in whatever case', async () => {
  const made = await post(`${agencyPath}/structures`, {
    ...{ id: 'Park-9q2öd', kind: 'sanitary', lon: 9, lat: 48.005 },
    ...{ seatElevationM: 99.7, frameHeightM: 0.15, rimDiameterM: 0.6, projectId: 'quay-lane' },
  });
  expect(made.statusCode, made.body).toBe(201);
  const found = async (q: string) =>
    idsOf((await get<SearchResult>(`${agencyPath}/search?${new URLSearchParams({ q })}`)).structures);
  for (const q of ['9Q2', '-9q', 'K-9', '2ÖD', 'öd']) expect(await found(q)).toEqual(['Park-9q2öd']);
  expect(await found('9x2')).toEqual([]);
});
