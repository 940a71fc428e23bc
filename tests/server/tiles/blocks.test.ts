import { sql } from 'kysely';
import { afterAll, beforeAll, beforeEach, describe, expect, it } from 'vitest';
import type { Database } from '../../../server/store/database.ts';
import type { TileAddress } from '../../../server/store/tiles/area.ts';
import { applyCoverChanges, type ChangedCover } from '../../../server/store/tiles/changes.ts';
import { TileServer } from '../../../server/tiles/serve.ts';
import { city, layCity } from '../../bench/city/lay.ts';
import { createDatabase } from '../../helpers/database.ts';

const none = { statuses: null, kind: null, owner: null, street: null, outside: null };
type Filter = Parameters<TileServer['answer']>[0]['filter'];

describe('tiles cut from blocks', () => {
  let database: Database;
  let drop: () => Promise<void>;
  let watched: Database;
  /** Statements that read covers, since they were last counted. */
  let reads = 0;
  let revisions = 0;
  let inTile: { x: number; y: number };
  /** The fullest tile of zoom 16 in it. */
  let full: TileAddress;
  let server: TileServer;

  beforeAll(async () => {
    ({ database, drop } = await createDatabase());
    await layCity(database, { structures: 2000, covers: 1500, shots: 1500 });
    const [row] = await database.sql<{ x: number; y: number }[]>`
      select ((place & 1073741823) >> 17)::integer as x, y >> 17 as y from tile_covers
      group by 1, 2 order by count(*) desc limit 1`;
    inTile = { x: row.x, y: row.y };
    const [{ x, y }] = await database.sql<{ x: number; y: number }[]>`
      select ((place & 1073741823) >> 14)::integer as x, y >> 14 as y from tile_covers
      where project_id = ${city.projectId} and (place & 1073741823) >> 17 = ${row.x} and y >> 17 = ${row.y}
      group by 1, 2 order by count(*) desc limit 1`;
    full = { z: 16, x, y };
    const unsafe = ((text: string, ...more: []) => {
      if (text.includes('tile_covers')) reads += 1;
      else if (text.includes('tile_revisions')) revisions += 1;
      return database.sql.unsafe(text, ...more);
    }) as Database['sql']['unsafe'];
    const counting = new Proxy(database.sql, {
      get: (target, key) => (key === 'unsafe' ? unsafe : Reflect.get(target, key)),
    });
    watched = { ...database, sql: counting };
  });
  afterAll(() => drop());
  beforeEach(() => {
    server = new TileServer(watched, 1 << 24);
    [reads, revisions] = [0, 0];
  });

  /** A tile in the fullest one of zoom 13, `column` and `row` counted from its corner. */
  const at = (z: number, column: number, row: number): TileAddress => ({
    z,
    x: inTile.x * 2 ** (z - 13) + column,
    y: inTile.y * 2 ** (z - 13) + row,
  });

  async function tileOf(
    from: TileServer,
    address: TileAddress,
    { projectId = city.projectId, ...filter }: Partial<Filter> & { projectId?: string | null } = {},
  ): Promise<{ tag: string; bytes: Uint8Array }> {
    const answer = await from.answer({
      scope: { agencyId: city.agencyId, projectId },
      filter: { ...none, ...filter },
      address,
      coding: 'identity',
      known: undefined,
    });
    if (answer.kind !== 'tile') throw new Error(answer.kind);
    return { tag: answer.tag, bytes: answer.bytes };
  }

  /** What a server says that reads the rows of each tile. */
  const byRows = (...asked: [address: TileAddress, more?: Parameters<typeof tileOf>[2]]) =>
    tileOf(new TileServer(database, 0), ...asked);

  async function giveStatus(status: string, zoom16: TileAddress): Promise<void> {
    const bits = 30 - zoom16.z;
    const changed = sql<ChangedCover>`
      select structure_id, ${status} as status, 0.05::float8 as net_buildup_m from tile_covers
      where project_id = ${city.projectId} and y >> ${sql.lit(bits)} = ${zoom16.y}
        and (place & 1073741823) >> ${sql.lit(bits)} = ${zoom16.x}`;
    await database.kysely.transaction().execute((db) => applyCoverChanges(db, city, changed));
  }

  it('are the same as those of their own rows, with every filter, and read none', async () => {
    await tileOf(server, at(13, 0, 0));
    expect(reads).toBe(1);
    const filters = [
      {},
      { kind: 'storm' },
      { owner: 'Water works', statuses: [''] },
      { street: 'Tarrmere Street' },
    ];
    let bytes = 0;
    for (const filter of filters) {
      for (const address of [at(13, 0, 0), at(14, 0, 1), at(14, 1, 0), at(16, 3, 4), at(18, 20, 9)]) {
        const cut = await tileOf(server, address, filter);
        expect(cut).toEqual(await byRows(address, filter));
        bytes += cut.bytes.length;
      }
    }
    expect(bytes).toBeGreaterThan(10_000);
    expect(reads).toBe(1);
  });

  it('are of one project, of the agency, or of the agency without one: blocks are never mixed', async () => {
    for (const projectId of [city.projectId, null]) {
      for (const outside of projectId === null ? [null, city.projectId] : [null]) {
        await tileOf(server, at(13, 0, 0), { projectId, outside });
        const cut = await tileOf(server, at(14, 0, 0), { projectId, outside });
        expect(cut).toEqual(await byRows(at(14, 0, 0), { projectId, outside }));
      }
    }
    expect(reads).toBe(3);
  });

  it('show a change that another server made at once, and keep their tags where nothing changed', async () => {
    const [changed, neighbour] = [full, { ...full, x: (inTile.x + 1) * 8 + 4 }];
    await tileOf(server, at(13, 0, 0));
    const before = await tileOf(server, changed);
    const beside = await tileOf(server, neighbour, { projectId: null });
    await giveStatus('rebuild', changed);
    const after = await tileOf(server, changed);
    expect(after.tag).not.toBe(before.tag);
    expect(after).toEqual(await byRows(changed));
    expect(Buffer.from(after.bytes).includes('rebuild')).toBe(true);
    expect(await tileOf(server, at(13, 0, 0))).toEqual(await byRows(at(13, 0, 0)));
    expect((await tileOf(server, neighbour, { projectId: null })).tag).toBe(beside.tag);
  });

  it('are still cut from a block after a change beside it that they do not touch', async () => {
    await tileOf(server, at(13, 0, 0));
    // Its buffer has covers of the tile to the east, whose revision goes up.
    await database.sql`
      insert into tile_revisions as kept (agency_id, tile_y, tile_x, project_id, revision)
      values (${city.agencyId}, ${inTile.y}, ${inTile.x + 1}, ${city.projectId}, 7)
      on conflict (agency_id, tile_y, tile_x, project_id) do update set revision = kept.revision + 1`;
    reads = 0;
    expect(await tileOf(server, at(16, 4, 4))).toEqual(await byRows(at(16, 4, 4)));
    expect(reads).toBe(0);
    expect(await tileOf(server, at(16, 7, 4))).toEqual(await byRows(at(16, 7, 4)));
    expect(reads).toBe(1);
    expect(await tileOf(server, at(13, 0, 0))).toEqual(await byRows(at(13, 0, 0)));
    expect(reads).toBe(2);
  });

  it('are read by themselves until a block would have cost as much, and from then on cut', async () => {
    const asked = Array.from({ length: 64 }, (_, k) => at(16, k % 8, Math.floor(k / 8)));
    for (const address of asked) await tileOf(server, address);
    // 16 to a block each, and what any read costs: a block after some nine.
    expect(reads).toBeGreaterThan(5);
    expect(reads).toBeLessThan(12);
    for (const address of asked) expect(await tileOf(server, address)).toEqual(await byRows(address));
  });

  it('are read once by all who ask at the same time', async () => {
    const asked = [at(13, 0, 0), at(13, 0, 0), at(13, 0, 0), at(13, 0, 0)];
    const tiles = await Promise.all(asked.map((address) => tileOf(server, address)));
    expect(new Set(tiles.map(({ tag }) => tag)).size).toBe(1);
    expect(reads).toBe(1);
    const filters = [{ kind: 'storm' }, { kind: 'valve' }, { statuses: ['rebuild'] }];
    const others = new TileServer(watched, 1 << 24);
    reads = 0;
    await Promise.all(filters.map((filter) => tileOf(others, at(13, 0, 0), filter).catch(() => null)));
    expect(reads).toBe(1);
  });

  it('are asked for in few statements where many are asked for at once', async () => {
    const asked = Array.from({ length: 36 }, (_, k) => at(16, k % 6, Math.floor(k / 6)));
    await tileOf(server, at(13, 0, 0));
    for (const address of asked) await tileOf(server, address);
    revisions = 0;
    const again = await Promise.all(asked.map((address) => tileOf(server, address)));
    expect(revisions).toBeLessThan(4);
    for (const [k, address] of asked.entries()) expect(again[k]).toEqual(await byRows(address));
    await expect(
      Promise.all([tileOf(server, at(16, 1, 1)), tileOf(server, at(16, 1, 1), { projectId: 'nothing' })]),
    ).rejects.toThrow('unknown');
  });

  it('take texts with separators to the rows, which know them', async () => {
    await tileOf(server, at(13, 0, 0));
    await tileOf(server, at(14, 0, 0), { street: 'Quay\u001fLane' });
    expect(reads).toBe(2);
  });
});
