import { brotliDecompressSync, gunzipSync } from 'node:zlib';
import { sql } from 'kysely';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { TileJson } from '#shared/tile.ts';
import { applyCoverChanges, type ChangedCover } from '../../../server/store/tiles/changes.ts';
import { layCity } from '../../bench/city/lay.ts';
import { createTestApp, type TestApp } from '../../helpers/app.ts';
import { placeOf } from '../../helpers/recount.ts';
import { breachesOf, decodePoints, type TileFeature } from '../../helpers/vectorTile.ts';

interface RegisterRow {
  id: string;
  lon: number;
  lat: number;
  kind: string;
  street: string;
  status: string | null;
}

describe('tiles', () => {
  let test: TestApp;
  let rows: RegisterRow[];
  let inProject: RegisterRow[];
  let at: (z: number) => { z: number; x: number; y: number };

  beforeAll(async () => {
    test = await createTestApp();
    await layCity(test.database, { structures: 3000, covers: 1200, shots: 1200 });
    await giveStatuses();
    rows = await test.database.sql<RegisterRow[]>`
      select structure_id as id, lon, lat, kind, street, status from structures
      left join project_covers using (agency_id, structure_id) where agency_id = 'bench-city'`;
    inProject = rows.filter(({ status }) => status !== null);
    const [x, y] = placeOf(rows[0].lon, rows[0].lat);
    at = (z) => ({ z, x: Math.floor(x / 2 ** (30 - z)), y: Math.floor(y / 2 ** (30 - z)) });
  });
  afterAll(() => test.close());

  async function giveStatuses(): Promise<void> {
    const changed = sql<ChangedCover>`
      select structure_id, (array['raise', 'lower', 'leave'])[1 + feature_id % 3] as status, 0.125::float8 as net_buildup_m
      from tile_covers where project_id = 'overlay'`;
    await test.database.kysely.transaction().execute(async (db) => {
      await sql`update project_covers set status = given.status, net_buildup_m = 0.125
        from (${changed}) as given where given.structure_id = project_covers.structure_id`.execute(db);
      await applyCoverChanges(db, { agencyId: 'bench-city', projectId: 'overlay' }, changed);
    });
  }

  const get = (path: string, headers: Record<string, string> = {}) =>
    test.inject({ url: `/tiles/covers/${path}`, headers });
  const project = 'agency=bench-city&project=overlay';

  async function points(z: number, query: string, layer: string): Promise<TileFeature[]> {
    const place = at(z);
    const answer = await get(`${z}/${place.x}/${place.y}.mvt?${query}`);
    if (answer.statusCode === 204) return [];
    expect(answer.statusCode).toBe(200);
    expect(breachesOf(answer.rawPayload)).toEqual([]);
    return decodePoints(answer.rawPayload, layer, place);
  }

  /** Those in the tile's square with `buffer` units of a 4096th of its side round it. */
  function inside(all: readonly RegisterRow[], z: number, buffer: number): RegisterRow[] {
    const { x, y } = at(z);
    const side = 2 ** (30 - z);
    const room = (side / 4096) * buffer;
    return all.filter(({ lon, lat }) => {
      const [placeX, placeY] = placeOf(lon, lat);
      const isIn = (place: number, first: number) =>
        place >= first * side - room && place < (first + 1) * side + room;
      return isIn(placeX, x) && isIn(placeY, y);
    });
  }

  it.each([13, 14, 16, 18])(
    'show each cover of a project at zoom %i where the register has it',
    async (z) => {
      const found = await points(z, project, 'covers');
      const expected = inside(inProject, z, 160);
      expect(found.map(({ properties }) => properties.id).sort()).toEqual(
        expected.map(({ id }) => id).sort(),
      );
      expect(found.length).toBeGreaterThan(0);
      const unit = 360 / 2 ** z / 4096;
      for (const { lon, lat, properties } of found) {
        const row = rows.find(({ id }) => id === properties.id)!;
        expect(Math.abs(lon - row.lon)).toBeLessThan(1.01 * unit);
        expect(Math.abs(lat - row.lat)).toBeLessThan(1.01 * unit);
        expect(properties).toMatchObject({
          status: row.status,
          kind: row.kind,
          street: row.street,
          netBuildupM: 0.125,
        });
      }
    },
  );

  it('of the whole agency show the rest of the register too, as unplanned', async () => {
    const found = await points(14, 'agency=bench-city', 'covers');
    expect(found).toHaveLength(inside(rows, 14, 160).length);
    expect(new Set(found.map(({ properties }) => properties.status))).toEqual(
      new Set(['raise', 'lower', 'leave', 'unplanned']),
    );
  });

  it.each([0, 5, 11, 12])('count covers by status at zoom %i', async (z) => {
    const found = await points(z, 'agency=bench-city', 'counts');
    const sum = (key: string) => found.reduce((all, { properties }) => all + Number(properties[key] ?? 0), 0);
    const expected = inside(rows, z, 0);
    expect(sum('covers')).toBe(expected.length);
    for (const status of ['raise', 'lower', 'leave']) {
      expect(sum(status)).toBe(expected.filter((row) => row.status === status).length);
    }
    expect(sum('unplanned')).toBe(expected.filter((row) => row.status === null).length);
  });

  it.each([14, 11])('of the register round a project leave its covers out, at zoom %i', async (z) => {
    const layer = z < 13 ? 'counts' : 'covers';
    const found = await points(z, 'agency=bench-city&outside=overlay', layer);
    const total =
      z < 13 ? found.reduce((all, { properties }) => all + Number(properties.covers), 0) : found.length;
    const rest = rows.filter(({ status }) => status === null);
    expect(total).toBe(inside(rest, z, z < 13 ? 0 : 160).length);
    expect(total).toBeGreaterThan(0);
  });

  it('show a cover on an edge in both tiles, with one id', async () => {
    const { x, y } = at(16);
    const both = [x, x + 1].map(async (column) => {
      const answer = await get(`16/${column}/${y}.mvt?agency=bench-city`);
      return decodePoints(answer.rawPayload, 'covers', { z: 16, x: column, y });
    });
    const [left, right] = await Promise.all(both);
    const shared = left.filter(({ properties }) =>
      right.some((other) => other.properties.id === properties.id),
    );
    expect(shared.length).toBeGreaterThan(0);
    for (const { id, properties } of shared) {
      expect(right.find((other) => other.properties.id === properties.id)!.id).toBe(id);
    }
  });

  it.each([14, 11])('take every filter, and all of them together, at zoom %i', async (z) => {
    const street = inside(inProject, 14, 0)[0].street;
    const cases: [string, (row: RegisterRow) => boolean][] = [
      ['status=raise,leave', ({ status }) => status === 'raise' || status === 'leave'],
      ['status=unplanned', ({ status }) => status === null],
      ['kind=storm', ({ kind }) => kind === 'storm'],
      ['owner=Storm%20water%20works', ({ kind }) => kind === 'storm'],
      ['owner=nobody', () => false],
      [`street=${encodeURIComponent(street)}`, (row) => row.street === street],
      [
        `status=raise&kind=storm&street=${encodeURIComponent(street)}`,
        (row) => row.status === 'raise' && row.kind === 'storm' && row.street === street,
      ],
    ];
    for (const [query, isIn] of cases) {
      const expected = inside(rows.filter(isIn), z, z < 13 ? 0 : 160).length;
      const found = await points(z, `agency=bench-city&${query}`, z < 13 ? 'counts' : 'covers');
      const total =
        z < 13 ? found.reduce((all, { properties }) => all + Number(properties.covers), 0) : found.length;
      expect([query, total]).toEqual([query, expected]);
    }
  });

  it('are not sent again while nothing changed, and are another tile after a change to what is in them', async () => {
    const { x, y } = at(14);
    const path = `14/${x}/${y}.mvt?${project}`;
    const first = await get(path, { 'accept-encoding': 'br' });
    expect(first.headers).toMatchObject({
      'content-encoding': 'br',
      vary: 'accept-encoding',
      'cache-control': 'no-cache',
    });
    const tag = first.headers.etag as string;
    expect(tag).toMatch(/^"[\w-]+\.br"$/);
    const again = await get(path, { 'accept-encoding': 'br', 'if-none-match': tag });
    expect([again.statusCode, again.rawPayload.length, again.headers.etag]).toEqual([304, 0, tag]);

    const row = inside(inProject, 14, 0)[0];
    const card = await test.inject(`/api/agencies/bench-city/structures/${row.id}`);
    const patched = await test.inject({
      method: 'PATCH',
      url: `/api/agencies/bench-city/structures/${row.id}`,
      headers: { 'if-match': card.headers.etag as string },
      payload: { owner: 'Another works' },
    });
    expect(patched.statusCode).toBe(200);
    const after = await get(path, { 'accept-encoding': 'br', 'if-none-match': tag });
    expect(after.statusCode).toBe(200);
    expect(after.headers.etag).not.toBe(tag);
    const bytes = brotliDecompressSync(after.rawPayload);
    const changed = decodePoints(bytes, 'covers', at(14)).find(({ properties }) => properties.id === row.id)!;
    expect(changed.properties.owner).toBe('Another works');
  });

  it('are the same bytes in every form, each with a tag of its own', async () => {
    const { x, y } = at(13);
    const path = `13/${x}/${y}.mvt?${project}`;
    const [plain, zipped] = [await get(path), await get(path, { 'accept-encoding': 'gzip' })];
    expect(plain.headers['content-encoding']).toBeUndefined();
    expect(gunzipSync(zipped.rawPayload)).toEqual(plain.rawPayload);
    expect(plain.headers['content-type']).toBe('application/vnd.mapbox-vector-tile');
    expect(zipped.headers.etag).not.toBe(plain.headers.etag);
    const other = await createTestTwin(test);
    expect((await other.inject(`/tiles/covers/${path}`)).rawPayload).toEqual(plain.rawPayload);
    expect((await other.inject(`/tiles/covers/${path}`)).headers.etag).toBe(plain.headers.etag);
    await other.close();
  });

  it.each([
    ['0/0/0.mvt?agency=nowhere', 404, 'nowhere'],
    ['0/0/0.mvt?agency=bench-city&project=nothing', 404, 'nothing'],
    ['19/0/0.mvt?agency=bench-city', 404, 'from zoom 0 to 18'],
    ['31/0/0.mvt?agency=bench-city', 400, '/z'],
    ['2/4/0.mvt?agency=bench-city', 400, '/x'],
    ['2/0/4.mvt?agency=bench-city', 400, '/y'],
    ['2/0/-1.mvt?agency=bench-city', 400, '/y'],
    ['2/0/1.5.mvt?agency=bench-city', 400, '/y'],
    ['0/0/0.mvt?agency=bench-city&colour=red', 400, 'colour'],
    ['0/0/0.mvt?agency=bench-city&status=raise&status=leave', 400, 'status'],
    ['0/0/0.mvt?agency=bench-city&status=painted', 400, 'painted'],
    ['0/0/0.mvt', 400, 'agency'],
  ])('%s is refused with %i', async (path, status, words) => {
    const answer = await get(path);
    expect(answer.statusCode).toBe(status);
    expect(answer.headers['content-type']).toContain('application/problem+json');
    expect(answer.body).toContain(words);
  });

  it('without anything in them are 204', async () => {
    const answer = await get(`14/0/0.mvt?${project}`);
    expect([answer.statusCode, answer.rawPayload.length]).toEqual([204, 0]);
  });

  it('are of one collection only', async () => {
    expect((await test.inject('/tiles/shots?agency=bench-city')).statusCode).toBe(404);
    expect((await test.inject('/tiles/shots/0/0/0.mvt?agency=bench-city')).statusCode).toBe(404);
  });

  it('are described by TileJSON 3.0.0', async () => {
    const answer = await test.inject({
      url: `/tiles/covers?${project}&kind=storm`,
      headers: { host: 'localhost:4150' },
    });
    const json = answer.json<TileJson>();
    expect(json.tilejson).toBe('3.0.0');
    expect(json.tiles).toEqual([
      'http://localhost:4150/tiles/covers/{z}/{x}/{y}.mvt?agency=bench-city&project=overlay&kind=storm',
    ]);
    expect(json.vector_layers.map(({ id, minzoom, maxzoom }) => [id, minzoom, maxzoom])).toEqual([
      ['covers', 13, 18],
      ['counts', 0, 12],
    ]);
    const [west, south, east, north] = json.bounds!;
    for (const { lon, lat } of inProject) {
      expect(lon > west && lon < east && lat > south && lat < north).toBe(true);
    }
    expect(json.center![0] > west && json.center![0] < east).toBe(true);
    const found = await points(14, project, 'covers');
    const fields = Object.keys(json.vector_layers[0].fields);
    expect(fields.sort()).toEqual(Object.keys(found[0].properties).sort());
  });
});

/** Another server over the same database. */
async function createTestTwin({ database, uploads }: TestApp) {
  const { buildApp } = await import('../../../server/app.ts');
  const context = {
    database,
    uploads,
    queue: null,
    notices: null,
    uploadLimits: null,
    basemapStyleUrl: null,
    version: '',
  };
  return buildApp(context as never, { logLevel: 'silent', webFolder: null });
}
