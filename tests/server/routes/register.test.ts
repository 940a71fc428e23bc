import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { CoverRow } from '#shared/cover.ts';
import type { Page } from '#shared/schema.ts';
import type { Structure } from '#shared/structure.ts';
import {
  agencyPath,
  catalogue,
  createTestApp,
  projectPath,
  registerCsv,
  shotsCsv,
  type TestApp,
} from '../../helpers/app.ts';
import { storeFile } from '../../helpers/staged-import.ts';

let test: TestApp;
beforeAll(async () => {
  test = await createTestApp();
  await storeFile(test, 'register.csv', registerCsv(12));
  await storeFile(test, 'shots.csv', shotsCsv(12), { surfaceName: 'Levelled' });
});
afterAll(() => test.close());

const get = async <Body>(url: string): Promise<Body> => {
  const answer = await test.inject(url);
  expect(answer.statusCode, answer.body).toBe(200);
  return answer.json<Body>();
};

async function walk<Item>(first: string, between?: () => Promise<void>): Promise<Item[]> {
  const items: Item[] = [];
  for (let next: string | null = first; next !== null; ) {
    const page: Page<Item> = await get<Page<Item>>(next);
    items.push(...page.items);
    next = page.next;
    await between?.();
  }
  return items;
}

const newStructure = (id: string) => ({
  id,
  kind: 'storm',
  owner: 'Drainage',
  lon: 9.0001,
  lat: 48.004,
  seatElevationM: 99.7,
  frameHeightM: 0.15,
  rimDiameterM: 0.6,
  projectId: 'quay-lane',
});

describe('agencies', () => {
  it('are listed and each is found by its id', async () => {
    const { items } = await get<{ items: { id: string }[] }>('/api/agencies');
    expect(items.map(({ id }) => id)).toEqual(['elsewhere', 'mossvale']);
    expect(await get(agencyPath)).toEqual({
      id: 'mossvale',
      name: 'Mossvale',
      lengthDisplay: 'mm',
      policy: {},
    });
  });

  it('never see the structures of another', async () => {
    expect(await get('/api/agencies/elsewhere/structures')).toEqual({ items: [], next: null });
    expect((await test.inject('/api/agencies/elsewhere/structures/C-001')).statusCode).toBe(404);
    expect((await test.inject('/api/agencies/elsewhere/projects/quay-lane')).statusCode).toBe(404);
  });

  it('have their streets as GeoJSON', async () => {
    const answer = await test.inject(`${agencyPath}/streets`);
    expect(answer.headers['content-type']).toContain('application/geo+json');
    expect(answer.json().features[0]).toMatchObject({
      id: 'quay-lane',
      properties: { name: 'Quay Lane', widthM: 8 },
    });
  });
});

describe('structures', () => {
  it('are given page by page until there is no next', async () => {
    const all = await walk<Structure>(`${agencyPath}/structures?limit=5&kind=sanitary`);
    expect(all.map(({ id }) => id)).toEqual(
      Array.from({ length: 12 }, (_, i) => `C-${String(i + 1).padStart(3, '0')}`),
    );
  });

  it('walked while others are inserted come once each, with none left out', async () => {
    let added = 0;
    const insertOne = async () => {
      added += 1;
      const payload = newStructure(`${added % 2 ? 'A' : 'D'}-${added}`);
      const answer = await test.inject({ method: 'POST', url: `${agencyPath}/structures`, payload });
      expect(answer.statusCode).toBe(201);
    };
    const all = await walk<Structure>(`${agencyPath}/structures?limit=3`, insertOne);
    const ids = all.map(({ id }) => id);
    expect(new Set(ids).size).toBe(ids.length);
    expect(ids.filter((id) => id.startsWith('C-'))).toHaveLength(12);
  });

  it('are found by a part of their id, whatever its letters mean in a pattern', async () => {
    expect((await walk<Structure>(`${agencyPath}/structures?q=c-01`)).map(({ id }) => id)).toEqual([
      'C-010',
      'C-011',
      'C-012',
    ]);
    expect(await walk(`${agencyPath}/structures?q=%25`)).toEqual([]);
    expect(await walk(`${agencyPath}/structures?q=C_0`)).toEqual([]);
  });

  it.each(["'; drop table structures; --", "' or '1'='1", '\\', "C-001' --", '$1', '%'])(
    'a filter that is SQL by its shape finds nothing and harms nothing: %s',
    async (text) => {
      for (const field of ['q', 'kind', 'owner', 'street']) {
        const found = await get<Page<Structure>>(
          `${agencyPath}/structures?${new URLSearchParams({ [field]: text })}`,
        );
        expect(found.items).toEqual([]);
      }
      const after = Buffer.from(JSON.stringify([text])).toString('base64url');
      expect((await test.inject(`${agencyPath}/structures?after=${after}`)).statusCode).toBe(200);
      const query = new URLSearchParams({ q: text, owner: text, street: text });
      expect((await get<Page<CoverRow>>(`${projectPath}/covers?${query}`)).items).toEqual([]);
      const [{ count }] = await test.database
        .sql`select count(*) as count from structures where kind = 'sanitary'`;
      expect(count).toBe(12);
    },
  );

  it('a place in degrees gets its place in the project grid, and the other way round', async () => {
    const { items } = await get<Page<Structure>>(`${agencyPath}/structures?q=A-1`);
    expect(items[0]).toMatchObject({ crs: 'EPSG:25832', lon: 9.0001, lat: 48.004 });
    // 0.0001 degree of longitude at latitude 48.004 is 7.46 m on the GRS80 ellipsoid.
    expect(items[0].eastingM - 500_000).toBeCloseTo(7.46, 1);
    const imported = await get<Structure>(`${agencyPath}/structures/C-001`);
    expect(imported.lon).toBeCloseTo(9, 9);
  });

  it('an id that is taken is a conflict', async () => {
    const answer = await test.inject({
      method: 'POST',
      url: `${agencyPath}/structures`,
      payload: newStructure('C-001'),
    });
    expect(answer.statusCode).toBe(409);
  });

  it('change only from the version that was read, and keep what was there before', async () => {
    const url = `${agencyPath}/structures/C-002`;
    const read = await test.inject(url);
    expect(read.headers.etag).toBe('"1"');
    const patch = (headers: Record<string, string>) =>
      test.inject({ method: 'PATCH', url, headers, payload: { setDownM: 0.003 } });
    expect((await patch({})).statusCode).toBe(428);
    expect((await patch({ 'if-match': '"7"' })).statusCode).toBe(412);
    const changed = await patch({ 'if-match': '"1"' });
    expect(changed.statusCode).toBe(200);
    expect(changed.headers.etag).toBe('"2"');
    expect((await patch({ 'if-match': '"1"' })).statusCode).toBe(412);
    const { history, setDownM } = await get<{
      history: { kind: string; detail: unknown }[];
      setDownM: number;
    }>(url);
    expect(setDownM).toBe(0.003);
    expect(history[0]).toMatchObject({ kind: 'changed', detail: { setDownM: [0, 0.003] } });
  });

  it('of two changes made from one version exactly one is kept', async () => {
    const url = `${agencyPath}/structures/C-003`;
    const answers = await Promise.all(
      [0.001, 0.002, 0.003, 0.004].map((setDownM) =>
        test.inject({ method: 'PATCH', url, headers: { 'if-match': '"1"' }, payload: { setDownM } }),
      ),
    );
    expect(answers.map(({ statusCode }) => statusCode).sort()).toEqual([200, 412, 412, 412]);
    const winner = answers.find(({ statusCode }) => statusCode === 200)!.json<Structure>();
    expect((await get<Structure>(url)).setDownM).toBe(winner.setDownM);
  });
});

describe('projects', () => {
  const project = {
    id: 'mill-row',
    name: 'Mill Row',
    crs: 'EPSG:2264',
    elevationUnit: 'us-ft',
    displayUnit: 'in',
  };
  const post = (payload: object) => test.inject({ method: 'POST', url: `${agencyPath}/projects`, payload });

  it('are made with limits that say where each comes from', async () => {
    const answer = await post({ ...project, policy: { toleranceM: 0.004 }, ringCatalogueId: 'rings' });
    expect(answer.statusCode).toBe(201);
    expect(answer.headers.location).toBe(`${agencyPath}/projects/mill-row`);
    expect(answer.json()).toMatchObject({
      metresPerUnit: 1200 / 3937,
      limits: {
        toleranceM: { value: 0.004, from: 'project' },
        shotLimitM: { value: 6, from: 'default' },
        shotSigmaM: { value: 'survey', from: 'default' },
        maxRings: { value: 5, from: 'catalogue' },
      },
      boundsLonLat: null,
      coverCount: 0,
      planRevision: 0,
    });
    expect((await post(project)).statusCode).toBe(409);
  });

  it.each([
    [{ crs: 'EPSG:4326' }, '/crs'],
    [{ crs: 'EPSG:999999' }, '/crs'],
    [{ ringCatalogueId: 'none' }, '/ringCatalogueId'],
    [{ policy: { toleranceM: 0 } }, '/policy/toleranceM'],
    [{ policy: { tolerance: 1 } }, '/policy/tolerance'],
    [{ id: 'Mill Row' }, '/id'],
  ])('with %j are refused naming %s', async (change, path) => {
    const answer = await post({ ...project, id: 'other', ...change });
    expect(answer.statusCode).toBe(400);
    expect(answer.json().errors[0].path).toBe(path);
  });

  it('take a limit back with null', async () => {
    const url = `${agencyPath}/projects/mill-row`;
    const { version } = await get<{ version: number }>(url);
    const headers = { 'if-match': `"${version}"` };
    const payload = { policy: { toleranceM: null, objective: 'closest' } };
    const answer = await test.inject({ method: 'PATCH', url, headers, payload });
    expect(answer.json().limits).toMatchObject({
      toleranceM: { value: 0.00635, from: 'default' },
      objective: { value: 'closest', from: 'project' },
    });
    expect((await test.inject({ method: 'PATCH', url, headers, payload })).statusCode).toBe(412);
  });

  it('know the bounds of their covers', async () => {
    const { boundsLonLat, coverCount } = await get<{ boundsLonLat: number[]; coverCount: number }>(
      projectPath,
    );
    expect(coverCount).toBeGreaterThanOrEqual(12);
    expect(boundsLonLat[0]).toBeLessThanOrEqual(boundsLonLat[2]);
    expect(boundsLonLat[3]).toBeGreaterThan(48);
  });
});

describe('ring catalogues', () => {
  const post = (change: object) =>
    test.inject({
      method: 'POST',
      url: `${agencyPath}/ring-catalogues`,
      payload: { ...catalogue, id: 'more', ...change },
    });

  it('are stored as they were sent, in their order', async () => {
    const { rings } = catalogue;
    expect((await post({ rings: [...rings].reverse() })).statusCode).toBe(201);
    expect(await get(`${agencyPath}/ring-catalogues/more`)).toEqual({
      ...catalogue,
      id: 'more',
      rings: [...rings].reverse(),
    });
    expect((await get<{ items: unknown[] }>(`${agencyPath}/ring-catalogues`)).items).toHaveLength(2);
    expect((await post({})).statusCode).toBe(409);
  });

  it('say what a ring weighs where that is known', async () => {
    const [first, ...rest] = catalogue.rings;
    expect((await post({ id: 'weighed', rings: [{ ...first, massKg: 28 }, ...rest] })).statusCode).toBe(201);
    const { rings } = await get<typeof catalogue>(`${agencyPath}/ring-catalogues/weighed`);
    expect(rings).toEqual([{ ...first, massKg: 28 }, ...rest]);
    expect((await post({ id: 'bad', rings: [{ ...first, massKg: 0 }] })).statusCode).toBe(400);
  });

  it('with a ring that is thicker at its thin side, or two of one id, are refused', async () => {
    const [ring] = catalogue.rings;
    const thin = await post({ id: 'bad', rings: [{ ...ring, thinM: 0.05 }] });
    expect(thin.json().errors[0].path).toBe('/rings/0/thinM');
    const twice = await post({ id: 'bad', rings: [ring, ring] });
    expect(twice.json().errors[0].path).toBe('/rings/1/id');
    expect((await test.inject(`${agencyPath}/ring-catalogues/bad`)).statusCode).toBe(404);
  });
});

describe('surfaces', () => {
  it('are listed with the number of their shots, which come page by page', async () => {
    const { items } = await get<{ items: object[] }>(`${projectPath}/surfaces`);
    expect(items).toMatchObject([{ id: 'levelled', name: 'Levelled', stage: 'finished', shotCount: 96 }]);
    const shots = await walk<{ point: string }>(`${projectPath}/surfaces/levelled/shots?limit=37`);
    expect(new Set(shots.map(({ point }) => point)).size).toBe(96);
    expect(shots).toHaveLength(96);
  });
});

describe('the API', () => {
  it('is described by an OpenAPI document that names every route', async () => {
    const answer = await test.inject('/api/openapi.json');
    const { openapi, paths } = answer.json<{ openapi: string; paths: Record<string, object> }>();
    expect(openapi).toBe('3.1.0');
    expect(Object.keys(paths)).toContain('/api/agencies/{agency}/projects/{project}/covers/{structure}');
    expect(Object.keys(paths['/api/agencies/{agency}/structures/{structure}'])).toEqual(['get', 'patch']);
  });

  it('answers for its health and settings, and lets nothing be stored on the way', async () => {
    expect(await get('/api/health')).toEqual({ status: 'ok', database: 'ok' });
    expect(await get('/api/settings')).toEqual({ version: '0.0.0', basemapStyleUrl: null });
    const { headers } = await test.inject('/api/agencies');
    expect(headers['cache-control']).toBe('no-store');
    expect(headers['x-content-type-options']).toBe('nosniff');
    expect(headers['content-security-policy']).toContain("worker-src 'self' blob:");
  });
});
