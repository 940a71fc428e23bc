import { afterAll, beforeAll, beforeEach, describe, expect, it } from 'vitest';
import type { CoverCard } from '#shared/cover.ts';
import type { Project, ProjectHoldings } from '#shared/project.ts';
import type { Surface } from '#shared/surface.ts';
import {
  agencyPath,
  createTestApp,
  projectPath,
  registerCsv,
  shotsCsv,
  type TestApp,
} from '../../helpers/app.ts';
import { note, send } from '../../helpers/field.ts';
import { recount } from '../../helpers/recount.ts';
import { storeFile } from '../../helpers/staged-import.ts';

let test: TestApp;
let definition: object;
beforeAll(async () => {
  test = await createTestApp();
  const { id, name, crs, elevationUnit, displayUnit, ringCatalogueId } = await project();
  definition = { id, name, crs, elevationUnit, displayUnit, ringCatalogueId };
});
afterAll(() => test.close());
beforeEach(async () => {
  const { sql } = test.database;
  await sql`truncate structures, surfaces, shots, lines, import_batches, import_memories, plans, plan_covers, field_records
    cascade`;
  await sql`delete from tile_covers`;
  await sql`delete from tile_counts`;
  await sql`delete from projects`;
  expect((await post(`${agencyPath}/projects`, definition)).statusCode).toBe(201);
});

const project = async () => (await test.inject(projectPath)).json<Project>();
const holdings = async () => (await test.inject(`${projectPath}/holdings`)).json<ProjectHoldings>();
const post = (url: string, payload: object) => test.inject({ method: 'POST', url, payload });
const remove = (headers: Record<string, string>) =>
  test.inject({ method: 'DELETE', url: projectPath, headers });
const gone = () =>
  expect.poll(async () => (await test.inject(projectPath)).statusCode, { timeout: 20_000 }).toBe(404);
const removeIt = async () => remove({ 'if-match': `"${(await project()).version}"` });

async function lay(shots = 4): Promise<void> {
  await storeFile(test, 'register.csv', registerCsv(4));
  await storeFile(test, 'night.csv', shotsCsv(shots));
  await test.plan();
}

/** Rows of every table that has a column for the project, but for revisions of tiles, which must never go back. */
async function rowsLeft(): Promise<Record<string, number>> {
  const { sql } = test.database;
  const tables = await sql<{ name: string }[]>`
    select table_name as name from information_schema.columns where table_schema = 'public'
      and column_name = 'project_id' and table_name <> 'tile_revisions'`;
  const left: Record<string, number> = {};
  for (const { name } of tables) {
    const [{ rows }] = await sql`
      select count(*)::integer as rows from ${sql(name)} where project_id = 'quay-lane'`;
    if (rows > 0) left[name] = rows;
  }
  return left;
}

describe('a project that is deleted', { timeout: 30_000 }, () => {
  it('says before what goes with it, and takes all of that along but the register', async () => {
    await lay();
    await post(`${projectPath}/covers/assign`, {
      selection: { ids: ['C-001', 'C-002'] },
      night: '2027-05-04',
    });
    expect(await holdings()).toEqual({
      covers: 4,
      coversWithNight: 2,
      surfaces: 1,
      shots: 32,
      lines: 0,
      treatmentZones: 0,
      plans: 1,
      imports: 2,
      assignments: 1,
      fieldRecords: 0,
    });
    expect(Object.keys(await rowsLeft())).toEqual(expect.arrayContaining(['shots', 'plan_covers', 'jobs']));
    const answer = await removeIt();
    expect(answer.statusCode).toBe(202);
    expect(answer.json()).toMatchObject({ kind: 'deletion', state: 'queued' });
    await gone();
    expect(await rowsLeft()).toEqual({});
    expect((await test.inject(projectPath)).statusCode).toBe(404);
    expect((await test.inject(`${agencyPath}/structures/C-001`)).statusCode).toBe(200);
    const { covers, counts } = await recount(test.database);
    expect([covers.kept, counts.kept]).toEqual([covers.counted, counts.counted]);
  });

  it('may be made again by the same name, and knows nothing of the one before', async () => {
    await lay(4);
    const surfaces = async () => (await test.inject(`${projectPath}/surfaces`)).json<{ items: Surface[] }>();
    const [{ shotCount }] = (await surfaces()).items;
    expect(shotCount).toBe(32);
    await removeIt();
    await gone();
    await post(`${agencyPath}/projects`, definition);
    await lay(3);
    expect((await surfaces()).items.map(({ shotCount: count }) => count)).toEqual([24]);
    const { plans } = (await test.inject(`${projectPath}/covers/C-001`)).json<CoverCard>();
    expect(plans.map(({ revision }) => revision)).toEqual([1]);
  });

  it('has to be the one that was seen', async () => {
    expect((await remove({})).statusCode).toBe(428);
    expect((await remove({ 'if-match': '"77"' })).statusCode).toBe(412);
    expect((await project()).id).toBe('quay-lane');
  });

  it('stays, and says why, once anything was recorded at the hole', async () => {
    await lay();
    await send(test, note('C-001', 'lid frozen'));
    expect((await holdings()).fieldRecords).toBe(1);
    const answer = await removeIt();
    expect([answer.statusCode, answer.json().detail]).toEqual([
      409,
      'The project has 1 record from the field: it stays as evidence of what was built, and so does the project.',
    ]);
    expect((await project()).coverCount).toBe(4);
  });

  it.each([
    ['jobs', `'running'`, 'A plan of the project is being made: wait for it, or stop it first.'],
    [
      'import_batches',
      `'storing'`,
      'A file of the project is being read or stored: wait for it, or stop it first.',
    ],
  ])('stays while one of its %s is at work', async (table, state, why) => {
    await lay();
    const { sql } = test.database;
    await sql`update ${sql(table)} set state = ${sql.unsafe(state)}`;
    const answer = await removeIt();
    expect([answer.statusCode, answer.json().detail]).toEqual([409, why]);
  });
});
