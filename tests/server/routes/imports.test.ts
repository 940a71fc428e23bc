import { afterAll, beforeAll, beforeEach, describe, expect, it } from 'vitest';
import type { CoverRow } from '#shared/cover.ts';
import type { ImportReport } from '#shared/import.ts';
import {
  agencyPath,
  createTestApp,
  projectPath,
  registerCsv,
  shotsCsv,
  type TestApp,
} from '../../helpers/app.ts';

let test: TestApp;
beforeAll(async () => {
  test = await createTestApp();
});
afterAll(() => test.close());
beforeEach(async () => {
  await test.database.sql`truncate structures, surfaces, shots, import_batches cascade`;
});

const structures = `${projectPath}/imports/structures`;
const shots = `${projectPath}/imports/shots`;

async function send(path: string, content: string | Uint8Array, name = 'file.csv'): Promise<ImportReport> {
  const answer = await test.upload(path, name, content);
  expect(answer.statusCode, answer.body).toBe(200);
  return answer.json<ImportReport>();
}

/** All that an import may write, as text: equal text is an unchanged database. */
async function everything(): Promise<string> {
  const { sql } = test.database;
  const tables = [
    'structures',
    'structure_events',
    'project_covers',
    'surfaces',
    'shots',
    'import_batches',
    'projects',
  ];
  const rows = await Promise.all(tables.map((table) => sql`select * from ${sql(table)} order by 1, 2, 3`));
  return JSON.stringify(rows);
}

describe.each([
  ['register', structures, registerCsv],
  ['survey', shots, shotsCsv],
])('a %s file', (_word, path, file) => {
  it('as a preview tells what it would do and stores nothing', async () => {
    const before = await everything();
    const report = await send(`${path}?mode=preview`, file(5));
    expect(report).toMatchObject({ batchId: null, mode: 'preview', changed: 0, same: 0, refused: [] });
    expect(report.new).toBe(report.read);
    expect(await everything()).toBe(before);
  });

  it('stored twice changes nothing the second time', async () => {
    const first = await send(`${path}?mode=store`, file(5));
    expect(first.batchId).not.toBeNull();
    const before = await everything();
    const second = await send(`${path}?mode=store`, file(5));
    expect(second).toMatchObject({ batchId: null, new: 0, changed: 0, same: first.new });
    expect(await everything()).toBe(before);
  });

  it('with some rows changed and some added is counted so, in a preview as in a store', async () => {
    await send(`${path}?mode=store`, file(4));
    const edited = file(5, (line, index) =>
      index === 1 ? line.replace(',99.95,', ',99.94,').replace('99.999', '99.998') : line,
    );
    const preview = await send(`${path}?mode=preview`, edited);
    expect(preview.changed).toBe(1);
    expect(preview.new).toBe(preview.read - preview.changed - preview.same);
    const { batchId, mode, ...stored } = await send(`${path}?mode=store`, edited);
    expect(preview).toMatchObject(stored);
    expect((await test.inject(`${projectPath}/imports`)).json().items[0]).toMatchObject({
      id: batchId,
      changed: 1,
    });
  });

  it('that fails halfway through storing leaves nothing behind', async () => {
    const before = await everything();
    const { sql } = test.database;
    await sql`create function refuse() returns trigger language plpgsql as $$ begin raise 'full'; end $$`;
    await sql`create trigger refuse before insert on import_batches execute function refuse()`;
    const answer = await test.upload(`${path}?mode=store`, 'file.csv', file(5));
    await sql`drop function refuse() cascade`;
    expect(answer.statusCode).toBe(500);
    expect(await everything()).toBe(before);
  });

  it('two people send at once is stored once', async () => {
    const reports = await Promise.all([1, 2, 3].map(() => send(`${path}?mode=store`, file(5))));
    expect(reports.filter(({ batchId }) => batchId !== null)).toHaveLength(1);
  });
});

describe('a register file', () => {
  it('names refused rows by row, column, value and rule, and stores the others', async () => {
    const file = registerCsv(5, (line, index) => {
      if (index === 1) return line.replace('99.75', 'abc');
      if (index === 3) return line.replace(',150,', ',,');
      return line;
    });
    const report = await send(`${structures}?mode=store`, file);
    expect(report).toMatchObject({ read: 5, new: 3, refusedRows: 2 });
    expect(report.refused[0]).toMatchObject({
      row: 3,
      column: 'seat_elevation',
      value: 'abc',
      rule: 'notANumber',
    });
    expect(report.refused[1]).toMatchObject({ row: 5, column: 'frame_height', rule: 'missing' });
    expect((await test.inject(`${agencyPath}/structures/C-002`)).statusCode).toBe(404);
  });

  it('keeps what the register knows where it says nothing, and notes what it changed', async () => {
    await send(`${structures}?mode=store`, registerCsv(1));
    const blank = registerCsv(1, (line) => line.replace('Sewer works', '').replace('99.75', '99.70'));
    await send(`${structures}?mode=store`, blank, 'spring.csv');
    const { owner, history } = (await test.inject(`${agencyPath}/structures/C-001`)).json();
    expect(owner).toBe('Sewer works');
    expect(history[0]).toMatchObject({
      kind: 'imported',
      detail: { file: 'spring.csv', changes: { seatElevationM: [99.75, 99.7] } },
    });
  });

  it('gives covers their station, offset and bearing along the street they name', async () => {
    await send(
      `${structures}?mode=store`,
      registerCsv(2, (line, index) => (index === 1 ? line.replace(',500000,', ',500003,') : line)),
    );
    const { items } = (await test.inject(`${projectPath}/covers`)).json<{ items: CoverRow[] }>();
    expect(items[1].stationM! - items[0].stationM!).toBeCloseTo(20, 3);
    expect(items[0].offsetM).toBeCloseTo(0, 3);
    // East of a street that runs north is right of it, looking up-station.
    expect(items[1].offsetM).toBeCloseTo(3, 3);
    const card = (await test.inject(`${projectPath}/covers/C-001`)).json();
    expect(Math.min(card.roadBearingDeg, 360 - card.roadBearingDeg)).toBeLessThan(0.01);
  });

  it('with every place off the map says what that is a sign of', async () => {
    const swapped = registerCsv(2, (line) => line.replace(/,(\d+),500000,/, ',500000,$1,'));
    const report = await send(`${structures}?mode=preview`, swapped);
    expect(JSON.stringify(report.warnings)).toMatch(/swapped|exchanged/);
  });
});

describe('a survey file', () => {
  it('tells points of one name apart by their order', async () => {
    const file = shotsCsv(1, (line) => line.replace(/^\d+/, '7'));
    expect(await send(`${shots}?mode=store`, file)).toMatchObject({ new: 8, surfaceId: 'file' });
    expect(await send(`${shots}?mode=store`, file)).toMatchObject({ new: 0, same: 8 });
  });

  it('names codes that it does not know, with their number', async () => {
    const file = shotsCsv(1, (line, index) =>
      index < 3 ? line.replace('FG', 'ZZ') : line.replace('FG', 'CL'),
    );
    const report = await send(`${shots}?mode=preview`, file);
    expect(report.unknownCodes).toEqual([{ code: 'ZZ', count: 3 }]);
  });

  it('with text that means something to COPY is stored as it stands', async () => {
    const file = '1,5316300,500000,100,a\\N\\tb\\\\."q\n\\.,5316301,500000,100,FG\n';
    expect(await send(`${shots}?mode=store`, file)).toMatchObject({ new: 2 });
    const { items } = (await test.inject(`${projectPath}/surfaces/file/shots`)).json();
    expect(items.map((shot: { point: string; code: string }) => [shot.point, shot.code])).toEqual([
      ['1', 'a\\N\\tb\\\\."q'],
      ['\\.', 'FG'],
    ]);
  });
});

describe('an upload', () => {
  it('that is not multipart is refused with 415', async () => {
    const answer = await test.inject({ method: 'POST', url: `${shots}?mode=store`, payload: { file: 'x' } });
    expect(answer.statusCode).toBe(415);
  });

  it('without a mode is refused, naming it', async () => {
    const answer = await test.upload(shots, 'file.csv', shotsCsv(1));
    expect(answer.json()).toMatchObject({ status: 400, errors: [{ path: '/mode' }] });
  });

  it('of bytes that are no text is refused', async () => {
    const answer = await test.upload(
      `${shots}?mode=store`,
      'image.png',
      new Uint8Array([0x89, 0x50, 0, 0, 1]),
    );
    expect(answer.json()).toMatchObject({ status: 400, detail: 'file: is not a text file' });
  });

  it('in Windows-1252 is read, and says so', async () => {
    const latin = Buffer.from(registerCsv(1).replace('Sewer works', 'Abwasserbetrieb M\u00fchle'), 'latin1');
    const report = await send(`${structures}?mode=store`, latin);
    expect(report.warnings[0]).toContain('Windows-1252');
    expect((await test.inject(`${agencyPath}/structures/C-001`)).json().owner).toBe(
      'Abwasserbetrieb M\u00fchle',
    );
  });

  it('with a name that climbs folders keeps only the last part', async () => {
    const report = await send(`${structures}?mode=preview`, registerCsv(1), '../../etc/passwd');
    expect(report.fileName).toBe('passwd');
  });
});
