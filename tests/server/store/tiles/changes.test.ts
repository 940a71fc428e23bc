import { sql } from 'kysely';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { insertAgency } from '../../../../server/store/agencies.ts';
import { upsertCovers } from '../../../../server/store/covers.ts';
import type { Database } from '../../../../server/store/database.ts';
import { deleteProject } from '../../../../server/store/project-deletion.ts';
import { insertProject } from '../../../../server/store/projects.ts';
import {
  findStructures,
  insertStructures,
  type NewStructure,
  updateStructure,
} from '../../../../server/store/structures.ts';
import {
  applyCoverChanges,
  applyStructureChanges,
  type ChangedCover,
} from '../../../../server/store/tiles/changes.ts';
import { countStatuses, findProjectBounds } from '../../../../server/store/tiles/summary.ts';
import { seeded } from '../../../helpers/corridor.ts';
import { createDatabase } from '../../../helpers/database.ts';
import { recount } from '../../../helpers/recount.ts';

const agencyId = 'mossvale';
const projects = ['north', 'quay', 'south'];
const statuses = ['raise', 'lower', 'leave', 'review'];

describe('what the tiles are drawn from', () => {
  let database: Database;
  let drop: () => Promise<void>;
  beforeAll(async () => {
    ({ database, drop } = await createDatabase());
    const { kysely: db } = database;
    await insertAgency(db, { id: agencyId, name: 'Mossvale', lengthDisplay: 'mm', policy: {} });
    for (const id of projects) await makeProject(database, id);
    const structures = Array.from({ length: 400 }, (_, number) => structure(number));
    await insertStructures(db, agencyId, structures, null);
    await applyStructureChanges(
      db,
      agencyId,
      structures.map(({ id }) => id),
    );
  });
  afterAll(() => drop());

  const expectSame = async () => {
    const { covers, counts } = await recount(database);
    expect(covers.kept).toEqual(covers.counted);
    expect(counts.kept).toEqual(counts.counted);
    for (const projectId of projects) await expectSummary(projectId);
  };

  /** What a project says of its covers comes from the same tables. */
  const expectSummary = async (projectId: string) => {
    const { kysely: db, sql: plain } = database;
    const covers = await plain<{ lon: number; lat: number; status: string | null }[]>`
      select lon, lat, status from project_covers join structures using (agency_id, structure_id)
      where agency_id = ${agencyId} and project_id = ${projectId}`;
    const counted: Record<string, number> = {};
    for (const { status } of covers)
      counted[status ?? 'unplanned'] = (counted[status ?? 'unplanned'] ?? 0) + 1;
    const key = { agencyId, projectId };
    expect(await countStatuses(db, key)).toEqual(counted);
    const bounds = await findProjectBounds(db, key);
    if (covers.length === 0) return expect(bounds).toBeNull();
    const [lons, lats] = [covers.map(({ lon }) => lon), covers.map(({ lat }) => lat)];
    // Places are whole, 4 cm to one.
    [Math.min(...lons), Math.min(...lats), Math.max(...lons), Math.max(...lats)].forEach((edge, index) => {
      expect(bounds![index]).toBeCloseTo(edge, 5);
    });
  };

  it('has each structure once, in the cells that it lies in', expectSame);

  it('stays as a recount would find it while several connections write at random', async () => {
    const writers = Array.from({ length: 6 }, (_, number) => writeAtRandom(database, 100 + number, 40));
    const refused = (await Promise.all(writers)).flat();
    expect(refused).toEqual([]);
    await expectSame();
    const [{ planned }] =
      await database.sql`select count(*)::int as planned from tile_covers where status is not null`;
    expect(planned).toBeGreaterThan(50);
  }, 60_000);

  it('counts nothing twice when it is told of the same change again', async () => {
    const ids = Array.from({ length: 50 }, (_, number) => structure(number).id);
    for (let time = 0; time < 2; time++) await applyStructureChanges(database.kysely, agencyId, ids);
    await expectSame();
  });

  it('gives the covers of a deleted project back to the register', async () => {
    await plan(database, 'south', [1, 2, 3], seeded(5));
    await database.kysely.transaction().execute((db) => deleteProject(db, agencyId, 'south'));
    await expectSame();
    const [{ left }] =
      await database.sql`select count(*)::int as left from tile_covers where project_id = 'south'`;
    expect(left).toBe(0);
  });

  it('gives only the tiles that a change touches a new revision', async () => {
    const read = async () =>
      new Map(
        (await database.sql`select * from tile_revisions`).map(({ tile_x, tile_y, project_id, revision }) => [
          `${tile_x}/${tile_y}/${project_id}`,
          revision as number,
        ]),
      );
    const before = await read();
    await rename(database, 7);
    const after = await read();
    const changed = [...after].filter(([tile, revision]) => before.get(tile) !== revision);
    expect(changed.length).toBeGreaterThan(0);
    expect(changed.length).toBeLessThan(after.size);
    expect(changed.every(([tile, revision]) => revision > (before.get(tile) ?? 0))).toBe(true);
  });
});

async function makeProject({ kysely }: Database, id: string): Promise<void> {
  const project = { id, name: id, crs: 'EPSG:25832', elevationUnit: 'm', displayUnit: 'mm' } as const;
  await insertProject(kysely, agencyId, project);
}

function structure(number: number): NewStructure {
  const random = seeded(number + 1);
  return {
    id: `C-${number}`,
    kind: ['sanitary', 'storm'][number % 2],
    owner: [null, 'Sewer works', 'Line company'][number % 3],
    street: number % 5 === 0 ? null : `Lane ${number % 4}`,
    lon: 9 + 0.3 * random(),
    lat: 48 + 0.2 * random(),
    crs: 'EPSG:25832',
    eastingM: 500_000,
    northingM: 5_316_000,
    seatElevationM: 99,
    seatGradientEast: 0,
    seatGradientNorth: 0,
    rimElevationM: null,
    frameHeightM: 0.15,
    rimDiameterM: 0.6,
    roadBearingDeg: null,
    setDownM: 0,
    adjustment: 'rings',
    condition: { located: null, chimneyUnsound: null, frameUnsound: null },
    structureDepthM: null,
    structureDiameterM: null,
  };
}

const place = (number: number) => ({
  structureId: `C-${number}`,
  eastingM: 1,
  northingM: 2,
  stationM: null,
  offsetM: null,
  roadBearingDeg: null,
});

/** Writes one after the other, each in a transaction; gives what PostgreSQL refused. */
async function writeAtRandom(database: Database, seed: number, times: number): Promise<unknown[]> {
  const random = seeded(seed);
  const refused: unknown[] = [];
  const whole = (below: number) => Math.floor(random() * below);
  for (let time = 0; time < times; time++) {
    const some = [...new Set(Array.from({ length: 1 + whole(30) }, () => whole(400)))].sort((a, b) => a - b);
    const project = projects[whole(projects.length)];
    const draw = whole(5);
    const write =
      draw === 0
        ? rename(database, some[0])
        : draw === 1
          ? move(database, some[0], random)
          : draw === 2
            ? join(database, project, some)
            : draw === 3
              ? leave(database, project, some)
              : plan(database, project, some, random);
    await write.catch((fault) => refused.push(fault));
  }
  return refused;
}

async function change(
  { kysely }: Database,
  number: number,
  what: (structure: NewStructure) => Partial<NewStructure>,
): Promise<void> {
  await kysely.transaction().execute(async (db) => {
    const id = `C-${number}`;
    const now = (await findStructures(db, agencyId, [id])).get(id)!;
    await updateStructure(db, agencyId, { ...now, ...what(now) }, now.version);
    await applyStructureChanges(db, agencyId, [id]);
  });
}

const rename = (database: Database, number: number) =>
  change(database, number, ({ kind }) => ({
    kind: kind === 'storm' ? 'sanitary' : 'storm',
    owner: `Owner ${number % 3}`,
  }));

const move = (database: Database, number: number, random: () => number) =>
  change(database, number, () => ({ lon: 9 + 0.3 * random(), lat: 48 + 0.2 * random() }));

async function join({ kysely }: Database, projectId: string, numbers: number[]): Promise<void> {
  await kysely.transaction().execute(async (db) => {
    await lock(db, projectId);
    await upsertCovers(db, { agencyId, projectId }, numbers.map(place));
    await applyStructureChanges(
      db,
      agencyId,
      numbers.map((number) => `C-${number}`),
    );
  });
}

async function leave({ kysely }: Database, projectId: string, numbers: number[]): Promise<void> {
  await kysely.transaction().execute(async (db) => {
    await lock(db, projectId);
    const ids = numbers.map((number) => `C-${number}`);
    await sql`delete from project_covers where project_id = ${projectId} and structure_id = any(${ids}::text[])`.execute(
      db,
    );
    await applyStructureChanges(db, agencyId, ids);
  });
}

/** As the plan job writes: the statuses first, then the tiles. */
async function plan(
  { kysely }: Database,
  projectId: string,
  numbers: number[],
  random: () => number,
): Promise<void> {
  await kysely.transaction().execute(async (db) => {
    await lock(db, projectId);
    const rows = numbers.map((number) => ({
      structure_id: `C-${number}`,
      status: statuses[Math.floor(random() * statuses.length)],
      net_buildup_m: random(),
    }));
    const given = sql<ChangedCover>`
      select * from jsonb_to_recordset(${rows}::jsonb) as given (structure_id text, status text, net_buildup_m float8)`;
    await sql`
      update project_covers as cover
      set status = given.status, net_buildup_m = given.net_buildup_m
      from (${given}) as given
      where agency_id = ${agencyId} and project_id = ${projectId} and cover.structure_id = given.structure_id`.execute(
      db,
    );
    await applyCoverChanges(db, { agencyId, projectId }, given);
  });
}

const lock = (db: Database['kysely'], projectId: string) =>
  sql`select from projects where agency_id = ${agencyId} and project_id = ${projectId} for update`.execute(
    db,
  );
