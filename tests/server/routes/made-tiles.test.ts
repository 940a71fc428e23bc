import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { CoverRow } from '#shared/cover.ts';
import type { OverlayPage, OverlayRow } from '#shared/outlook.ts';
import type { ProjectPlots } from '#shared/plots.ts';
import { layCity } from '../../bench/city/lay.ts';
import { createTestApp, type TestApp } from '../../helpers/app.ts';
import { placeOf } from '../../helpers/recount.ts';
import { breachesOf, decodePoints } from '../../helpers/vectorTile.ts';

const agencyPath = '/api/agencies/bench-city';
const projectPath = `${agencyPath}/projects/overlay`;

interface Placed {
  id: string;
  lon: number;
  lat: number;
}

let test: TestApp;
beforeAll(async () => {
  test = await createTestApp();
  const { sql } = test.database;
  await layCity(test.database, { structures: 2400, covers: 1200, shots: 1200 });
  await sql`update structures set rim_elevation_m = rim_elevation_m + (feature_id % 9) * 0.06 where feature_id % 2 = 0`;
  await sql`update project_covers as cover set status = (array['raise', 'lower', 'leave'])[1 + feature_id % 3],
      net_buildup_m = 0.01 * (feature_id % 11), worst_m = 0.001 * (feature_id % 7)
    from structures as structure where structure.structure_id = cover.structure_id`;
});
afterAll(() => test.close());

const get = async <Body>(url: string): Promise<Body> => {
  const answer = await test.inject(url);
  expect(answer.statusCode, answer.body).toBe(200);
  return answer.json<Body>();
};

async function listed(query: string): Promise<CoverRow[]> {
  const rows: CoverRow[] = [];
  for (let next: string | null = `${projectPath}/covers?limit=2000&${query}`; next !== null; ) {
    const page: { items: CoverRow[]; next: string | null } = await get(next);
    rows.push(...page.items);
    next = page.next;
  }
  return rows;
}

const tileAt = ({ lon, lat }: Placed, z: number) => {
  const [x, y] = placeOf(lon, lat).map((place) => Math.floor(place / 2 ** (30 - z)));
  return { z, x, y };
};

/** Every tile of a zoom that one of the places lies in, decoded. */
async function points(path: string, query: string, places: readonly Placed[], z: number) {
  const tiles = new Map(places.map((one) => [JSON.stringify(tileAt(one, z)), tileAt(one, z)]));
  const found = [];
  for (const tile of tiles.values()) {
    const answer = await test.inject(`${path}/tiles/${z}/${tile.x}/${tile.y}.mvt?${query}`);
    if (answer.statusCode === 204) continue;
    expect(answer.statusCode, answer.body).toBe(200);
    expect(breachesOf(answer.rawPayload)).toEqual([]);
    found.push(...decodePoints(answer.rawPayload, z < 13 ? 'counts' : 'covers', tile));
  }
  return found;
}

const sum = (numbers: readonly (number | undefined)[]) =>
  numbers.reduce<number>((total, number) => total + (number ?? 0), 0);

describe('tiles of chosen covers', () => {
  const assign = async (ids: readonly string[], night: string | null) => {
    const answer = await test.inject({
      method: 'POST',
      url: `${projectPath}/covers/assign`,
      payload: { selection: { ids }, night },
    });
    expect(answer.statusCode).toBe(200);
  };

  it.each([
    'netBuildupFromM=0.03&netBuildupBelowM=0.05',
    'worstFromM=0.002&worstBelowM=0.004&status=raise',
    'netBuildupBelowM=0.02',
    'q=ST-0',
    'crew=',
  ])('show the covers of the list with %s, at every zoom', async (query) => {
    const all = await listed('');
    const rows = await listed(query);
    expect(rows.length).toBeGreaterThan(20);
    const ids = rows.map(({ id }) => id).sort();
    for (const z of [13, 16]) {
      const found = await points(`${projectPath}/covers`, query, all, z);
      expect([...new Set(found.map(({ properties }) => properties.id))].sort()).toEqual(ids);
      for (const { lon, lat, properties } of found) {
        const row = rows.find(({ id }) => id === properties.id)!;
        expect(Math.hypot(lon - row.lon, lat - row.lat)).toBeLessThan((1.5 * 360) / 2 ** z / 4096);
        expect(properties).toMatchObject({ kind: row.kind, street: row.street });
      }
    }
    for (const z of [0, 9, 12]) {
      const counts = await points(`${projectPath}/covers`, query, all, z);
      expect(sum(counts.map(({ properties }) => properties.covers as number))).toBe(rows.length);
      const raised = query.includes('status') ? rows : await listed(`${query}&status=raise`);
      expect(sum(counts.map(({ properties }) => properties.raise as number))).toBe(raised.length);
    }
  });

  it('choose as many covers by a bar of a histogram as the bar says', async () => {
    const plots = await get<ProjectPlots>(`${projectPath}/plots`);
    for (const [name, { bins }] of [
      ['netBuildup', plots.netBuildup],
      ['worst', plots.worst],
    ] as const) {
      expect(bins.length).toBeGreaterThan(5);
      for (const { fromM, toM, covers } of bins) {
        const rows = await listed(`${name}FromM=${fromM}&${name}BelowM=${toM}`);
        expect([name, fromM, rows.length]).toEqual([name, fromM, covers]);
      }
    }
  });

  it('show a night of more covers than a page of the list, and what was assigned since, at once', async () => {
    const all = await listed('sort=street');
    const given = all.slice(0, 700);
    const query = 'night=2027-05-04';
    await assign(
      given.map(({ id }) => id),
      '2027-05-04',
    );
    const count = async (z: number) => {
      const counts = await points(`${projectPath}/covers`, query, all, z);
      return sum(counts.map(({ properties }) => properties.covers as number));
    };
    expect(await count(10)).toBe(700);
    expect(new Set((await points(`${projectPath}/covers`, query, all, 14)).map(({ id }) => id)).size).toBe(
      700,
    );
    await assign([given[0].id], null);
    expect(await count(10)).toBe(699);
    expect(new Set((await points(`${projectPath}/covers`, query, all, 14)).map(({ id }) => id)).size).toBe(
      699,
    );
  });

  it('are not sent again while they are the same', async () => {
    const [row] = await listed('');
    const { x, y } = tileAt(row, 14);
    const url = `${projectPath}/covers/tiles/14/${x}/${y}.mvt?status=raise,lower`;
    const headers = { 'accept-encoding': 'gzip' };
    const first = await test.inject({ url, headers });
    expect(first.headers).toMatchObject({ 'content-encoding': 'gzip', vary: 'accept-encoding' });
    const again = () =>
      test.inject({ url, headers: { ...headers, 'if-none-match': String(first.headers.etag) } });
    expect((await again()).statusCode).toBe(304);
    await test.database
      .sql`update project_covers set field_status = 'accepted' where structure_id = ${row.id}`;
    expect((await again()).statusCode).toBe(200);
  });

  it.each([
    ['13/1/1.mvt?status=flying', 400],
    ['13/1/1.mvt?after=x', 400],
    ['13/8192/1.mvt', 400],
    ['19/1/1.mvt', 404],
    ['13/0/0.mvt', 204],
  ])('%s is answered with %i', async (tile, status) => {
    expect((await test.inject(`${projectPath}/covers/tiles/${tile}`)).statusCode).toBe(status);
  });

  it('belong to a project that is there', async () => {
    const answer = await test.inject(`${agencyPath}/projects/none/covers/tiles/13/0/0.mvt`);
    expect(answer.statusCode).toBe(404);
  });
});

describe('tiles of what structures say to an overlay', () => {
  const question = 'thicknessM=0.05&millM=0.01';

  async function answered(query: string): Promise<{ counts: OverlayPage['counts']; rows: OverlayRow[] }> {
    const rows: OverlayRow[] = [];
    let counts: OverlayPage['counts'] = { yes: 0, no: 0, unknown: 0 };
    for (let next: string | null = `${agencyPath}/overlay-outlook?limit=5000&${query}`; next !== null; ) {
      const page: OverlayPage = await get<OverlayPage>(next);
      rows.push(...page.items);
      ({ counts, next } = page);
    }
    return { counts, rows };
  }

  it.each(['', '&project=overlay', '&project=overlay&maxChimneyM=0.2'])(
    'show every answer at every zoom (%s)',
    async (scope) => {
      const query = question + scope;
      const { counts, rows } = await answered(query);
      expect(Math.min(counts.yes, counts.no)).toBeGreaterThan(50);
      const said = new Map(rows.map((row) => [row.id, row]));
      const found = await points(`${agencyPath}/overlay-outlook`, query, rows, 14);
      expect(new Set(found.map(({ properties }) => properties.id)).size).toBe(rows.length);
      for (const { properties } of found) {
        const row = said.get(String(properties.id))!;
        expect([properties.answer, properties.left ?? null]).toEqual([row.answer, row.overlaysLeft]);
      }
      for (const z of [5, 12]) {
        const cells = await points(`${agencyPath}/overlay-outlook`, query, rows, z);
        for (const answer of ['yes', 'no', 'unknown'] as const) {
          const shown = cells.map(({ properties }) => properties[answer] as number | undefined);
          expect(sum(shown)).toBe(counts[answer]);
        }
      }
    },
  );

  it('show one answer alone, and what changed since', async () => {
    const query = `${question}&project=overlay&answer=no`;
    const { counts, rows } = await answered(`${question}&project=overlay`);
    const path = `${agencyPath}/overlay-outlook`;
    const shownAt = async (z: number) => {
      const cells = await points(path, query, rows, z);
      return sum(cells.map(({ properties }) => properties.covers as number));
    };
    expect(await shownAt(8)).toBe(counts.no);
    const one = rows.find(({ answer }) => answer === 'yes')!;
    const { version } = await get<{ version: number }>(`${agencyPath}/structures/${one.id}`);
    const changed = await test.inject({
      method: 'PATCH',
      url: `${agencyPath}/structures/${one.id}`,
      headers: { 'if-match': `"${version}"` },
      payload: { condition: { located: true, chimneyUnsound: true, frameUnsound: null } },
    });
    expect(changed.statusCode, changed.body).toBe(200);
    expect(await shownAt(8)).toBe(counts.no + 1);
    const single = await points(path, query, [one], 16);
    expect(single.find(({ properties }) => properties.id === one.id)?.properties.answer).toBe('no');
    expect(new Set(single.map(({ properties }) => properties.answer))).toEqual(new Set(['no']));
  });

  it('refuse what the question refuses', async () => {
    const answer = await test.inject(`${agencyPath}/overlay-outlook/tiles/13/0/0.mvt?thicknessM=5`);
    expect([answer.statusCode, answer.json().errors[0].path]).toEqual([400, '/thicknessM']);
  });
});
