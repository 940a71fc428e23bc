import { afterAll, beforeAll, beforeEach, describe, expect, it } from 'vitest';
import type { ImportPreview, StagedImport, UndoPreview, UndoReport } from '#shared/staged-import.ts';
import { sweepOnce } from '../../../server/staging/sweep.ts';
import {
  agencyPath,
  createTestApp,
  projectPath,
  registerCsv,
  shotsCsv,
  type TestApp,
} from '../../helpers/app.ts';
import { asProject, importsPath, openImportOf, uploadWhole } from '../../helpers/staged-import.ts';

let test: TestApp;
beforeAll(async () => {
  test = await createTestApp();
});
afterAll(() => test.close());
beforeEach(async () => {
  const { sql } = test.database;
  await sql`truncate structures, surfaces, shots, lines, import_batches, import_memories, code_maps cascade`;
});

const shotFile = (count: number, change?: (line: string, index: number) => string) => [
  { name: 'night shift.csv', content: shotsCsv(count, change) },
];
const register = (count: number, change?: (line: string, index: number) => string) => [
  { name: 'register.csv', content: registerCsv(count, change) },
];

/** Everything that a project knows, as text: equal text is an unchanged project. */
async function known(): Promise<string> {
  const { sql } = test.database;
  const rows = await Promise.all([
    sql`select * from structures order by structure_id`,
    sql`select * from project_covers order by structure_id`,
    sql`select surface_id, name, stage, form, content_sha256 from surfaces order by surface_id`,
    sql`select surface_id, point, ordinal, easting_m, northing_m, elevation_m, code, role, sigma_m, cell,
      import_batch_id from shots order by surface_id, point, ordinal`,
    sql`select block, points, faces from face_blocks order by surface_id, block`,
    sql`select line_id, kind, name, street, positions from lines order by line_id`,
  ]);
  return JSON.stringify(rows, (key, value) => (['version', 'updated_at'].includes(key) ? undefined : value));
}

describe('an upload in parts', () => {
  it('goes on where it broke off, tells how far it is, and is read when the last byte is here', async () => {
    const content = shotsCsv(3);
    const client = await openImportOf(test, [{ name: 'a.csv', content }]);
    expect((await client.sendPart(content.slice(0, 100), 0)).file.receivedBytes).toBe(100);
    const head = await test.inject({ method: 'HEAD', url: `${client.path}/files/1` });
    expect(head.headers).toMatchObject({ 'upload-offset': '100', 'upload-complete': '?0' });
    expect((await client.now()).state).toBe('uploading');
    await client.sendPart(content.slice(100), 100);
    const found = await client.rest();
    expect(found).toMatchObject({ state: 'ready', files: [{ sizeBytes: content.length, name: 'a.csv' }] });
    expect(found.files[0].sha256).toMatch(/^[0-9a-f]{64}$/);
  });

  it('at another offset is refused and told where to go on', async () => {
    const client = await openImportOf(test, shotFile(1));
    await client.sendPart('1,', 0);
    for (const offset of [0, 1, 3]) {
      const answer = await test.inject({
        method: 'PATCH',
        url: `${client.path}/files/1`,
        headers: { 'content-type': 'application/octet-stream', 'upload-offset': String(offset) },
        payload: Buffer.from('x'),
      });
      expect(answer.statusCode).toBe(409);
      expect(answer.headers['upload-offset']).toBe('2');
    }
  });

  it('with more bytes than were announced keeps nothing of that part', async () => {
    const client = await openImportOf(test, [{ name: 'a.csv', content: '1,2,3,4\n' }]);
    await client.sendPart('1,2', 0);
    expect((await client.sendPart('x'.repeat(50), 3)).status).toBe(413);
    expect((await client.now()).files[0].receivedBytes).toBe(3);
  });

  it('over the limit is refused before a byte is sent', async () => {
    const answer = await test.inject({
      method: 'POST',
      url: importsPath,
      payload: { files: [{ name: 'a.csv', sizeBytes: 65 * 2 ** 20 }] },
    });
    expect(answer.statusCode).toBe(413);
    expect(answer.json().errors[0].path).toBe('/files');
  });

  it('is kept under a name of the server, whatever the file is called', async () => {
    const client = await uploadWhole(test, [{ name: '../../etc/passwd', content: shotsCsv(1) }]);
    expect((await client.now()).files[0].name).toBe('passwd');
    expect(await test.uploads.list()).toContain(client.path.split('/').at(-1));
    await client.act('discard');
    expect(await test.uploads.list()).not.toContain(client.path.split('/').at(-1));
  });

  it('that nobody stores is discarded when its days are over', async () => {
    const client = await uploadWhole(test, shotFile(1));
    await sweepOnce(test, new Date(Date.now() + 15 * 86_400_000));
    expect(await client.now()).toMatchObject({ state: 'discarded', keptUntil: null });
    expect((await client.now()).said).toMatch(/nobody stored it/);
    expect(await test.uploads.list()).not.toContain(client.path.split('/').at(-1));
  });
});

describe('a preview', () => {
  it('stores nothing, and nothing is stored while a question is open', async () => {
    const before = await known();
    const client = await uploadWhole(test, shotFile(2));
    const found = await client.now();
    expect(found.preview!.questions.map(({ id }) => id)).toContain('crs');
    const { status, body } = await client.act('commit');
    expect(status).toBe(409);
    expect(body.detail).toMatch(/questions? (is|are) open/);
    expect(await known()).toBe(before);
  });

  it('shows where the file would land in each reading', async () => {
    const client = await uploadWhole(test, shotFile(2));
    const { readings } = (await client.answer({ questions: { crs: 'project' } })).preview!;
    expect(readings[0]).toMatchObject({ question: null, choice: null });
    const [lon, lat] = readings[0].places.coordinates[0];
    // UTM zone 32: the central meridian, 9 degrees east; northing 5316402 m is a little north of latitude 48.
    expect(lon).toBeCloseTo(9, 6);
    expect(lat).toBeCloseTo(48.0, 1);
    const swapped = readings.find(({ choice }) => choice === 'swapped')!;
    expect(swapped.places.coordinates[0]).not.toEqual(readings[0].places.coordinates[0]);
  });

  it('reads again with every answer, and takes an answer back', async () => {
    const client = await uploadWhole(test, shotFile(2));
    const answered = await client.answer({ questions: { verticalUnit: 'us-ft' } });
    expect(answered.preview!.units.vertical).toEqual({ unit: 'us-ft', from: 'given' });
    const taken = await client.answer({ questions: { verticalUnit: null } });
    expect(taken.preview!.units.vertical.unit).toBeNull();
    expect(taken.preview!.questions.find(({ id }) => id === 'verticalUnit')!.isOpen).toBe(true);
  });

  it('names bad rows and gives all of them to download with their reasons, formulas made text', async () => {
    const bad = shotsCsv(40, (line, index) => {
      if (index === 3) return line.replace(/,[^,]*,FG$/, ',abc,=1+1');
      return index % 2 === 0 ? line.replace(/,[^,]*,FG$/, ',,FG') : line;
    });
    const client = await uploadWhole(test, [{ name: 'night.csv', content: bad }]);
    const { counts, problemCount } = (await client.answerAll(asProject)).preview!;
    expect(counts).toMatchObject({ read: 320, new: 159, refused: 161 });
    expect(problemCount).toBeGreaterThanOrEqual(161);
    const answer = await test.inject(`${client.path}/refused.csv`);
    expect(answer.headers['content-disposition']).toBe('attachment; filename="night refused rows.csv"');
    const lines = answer.body.replace('\uFEFF', '').trim().split('\r\n');
    expect(lines).toHaveLength(162);
    expect(lines[0]).toBe('point,northing,easting,elevation,code,reason');
    expect(lines[1]).toMatch(/^1,5316402.000,500000.000,,FG,"?row 1 elevation: blank/);
    const formula = lines.find((line) => line.startsWith('4,'))!;
    expect(formula).toContain(",abc,'=1+1,");
    expect(formula).toMatch(/row 4 elevation ""abc"": not a number/);
  });

  it('of a file that is nothing known fails in words', async () => {
    const client = await uploadWhole(test, [{ name: 'a.bin', content: new Uint8Array([0, 1, 2, 3, 255]) }]);
    const found = await client.rest();
    expect(found).toMatchObject({ state: 'failed', preview: null });
    expect(found.said).toMatch(/^The file cannot be read: /);
  });

  it('can be cancelled, and read later', async () => {
    const client = await openImportOf(test, shotFile(400));
    await client.sendPart(shotsCsv(400), 0);
    const { status } = await client.act('cancel');
    const found = await client.rest();
    if (status === 200) {
      expect(found).toMatchObject({
        state: 'uploaded',
        said: 'The reading was cancelled; nothing was stored',
      });
      await client.act('read');
    } else expect(status).toBe(409);
    expect((await client.rest()).state).toBe('ready');
  });
});

describe.each([
  ['a survey', shotFile, 40],
  ['a register', register, 5],
])('%s', (_word, file, rows) => {
  it('is stored whole, and the same file again changes nothing', async () => {
    const stored = await (await uploadWhole(test, file(5))).store(asProject);
    expect(stored.preview!.counts).toMatchObject({ read: rows, new: rows, refused: 0 });
    const before = await known();
    const again = await uploadWhole(test, file(5));
    expect((await again.answerAll(asProject)).preview!.counts).toMatchObject({
      new: 0,
      changed: 0,
      same: rows,
    });
    expect((await again.store(asProject)).said).toMatch(/^Nothing to store: all \d+/);
    expect(await known()).toBe(before);
  });

  it('is undone to what was there, once', async () => {
    const empty = await known();
    const first = await uploadWhole(test, file(4));
    await first.store(asProject);
    const before = await known();
    const edited = file(5, (line, index) =>
      index === 1 ? line.replace(',99.95,', ',99.94,').replace('99.999', '99.998') : line,
    );
    const second = await uploadWhole(test, edited);
    const stored = await second.store(asProject);
    expect(stored.preview!.counts).toMatchObject({ changed: 1 });
    const foreseen = (await test.inject(`${second.path}/undo`)).json<UndoPreview>();
    expect(foreseen).toMatchObject({ restores: 1, changedSince: [] });
    const report = (await second.undo()).json<UndoReport>();
    expect(report).toMatchObject({ restored: 1, removed: foreseen.removes, import: { state: 'undone' } });
    expect(await known()).toBe(before);
    expect((await second.undo()).json<UndoReport>()).toMatchObject({ removed: 0, restored: 0 });
    await first.undo();
    expect(await known()).toBe(empty);
  });

  it('that fails in the middle of storing leaves nothing and waits to be stored again', async () => {
    const client = await uploadWhole(test, file(3));
    await client.answerAll(asProject);
    const before = await known();
    const { sql } = test.database;
    await sql`create function refuse() returns trigger language plpgsql as $$ begin raise 'full'; end $$`;
    await sql`create trigger refuse before update of surface_ids on import_batches
      for each row when (new.state = 'stored') execute function refuse()`;
    await client.act('commit');
    const found = await client.rest();
    await sql`drop function refuse() cascade`;
    expect(found.said).toMatch(/^Storing failed and nothing was stored/);
    expect(await known()).toBe(before);
    expect((await client.store()).state).toBe('stored');
  });
});

describe('an undo', () => {
  it('refuses where somebody changed a structure since, or leaves it as it is', async () => {
    const client = await uploadWhole(test, register(3));
    await client.store(asProject);
    await test.inject({
      method: 'PATCH',
      url: `${agencyPath}/structures/C-002`,
      headers: { 'if-match': '*' },
      payload: { owner: 'Water works' },
    });
    const refused = await client.undo('refuse');
    expect(refused.statusCode).toBe(409);
    expect(refused.json().errors).toMatchObject([{ path: '/structure/C-002' }]);
    expect((await test.inject(`${agencyPath}/structures/C-001`)).statusCode).toBe(200);
    const report = (await client.undo('skip')).json<UndoReport>();
    expect(report).toMatchObject({
      removed: 2,
      skippedCount: 1,
      skipped: [{ kind: 'structure', id: 'C-002' }],
    });
    expect((await test.inject(`${agencyPath}/structures/C-001`)).statusCode).toBe(404);
    expect((await test.inject(`${agencyPath}/structures/C-002`)).json().owner).toBe('Water works');
  });

  it('names the shots that a later import changed', async () => {
    const first = await uploadWhole(test, shotFile(1));
    await first.store(asProject);
    const later = await uploadWhole(
      test,
      shotFile(1, (line, i) => (i === 0 ? line.replace('100.001', '100.005') : line)),
    );
    await later.store(asProject);
    const refused = await first.undo('refuse');
    expect(refused.json().errors[0]).toMatchObject({ path: '/shot/night-shift/1' });
    await later.undo();
    expect((await first.undo()).json<UndoReport>()).toMatchObject({ removed: 8, skippedCount: 0 });
  });
});

describe('what was said of a file', () => {
  const headed = (count: number) => `Reihe,VOR,SEIT,LAGE,Art\n${shotsCsv(count).replaceAll(',FG', ',XQ')}`;
  const meanings = { Reihe: 'point', VOR: 'northing', SEIT: 'easting', LAGE: 'elevation', Art: 'code' };

  it('is remembered for the next one with these headings, and shown as such', async () => {
    const first = await uploadWhole(test, [{ name: 'one.csv', content: headed(1) }], { kind: 'shots' });
    const { columns: asked, questions } = (await first.now()).preview!;
    expect(asked.map(({ name }) => name)).toEqual(Object.keys(meanings));
    expect(questions).toMatchObject([{ id: 'columns', isOpen: true }]);
    await first.answer({ meanings, codes: { XQ: 'gutter' } });
    await first.store(asProject);
    const second = await uploadWhole(test, [{ name: 'two.csv', content: headed(2) }], { kind: 'shots' });
    const { columns, codes, remembered } = (await second.now()).preview as ImportPreview;
    expect(columns.map(({ meaning }) => meaning)).toEqual(Object.values(meanings));
    expect(codes).toMatchObject([{ code: 'XQ', count: 16, role: 'gutter', from: 'remembered' }]);
    expect(remembered).toMatchObject({ fileName: 'one.csv' });
  });
});

describe('a line file', () => {
  const line = (name: string, kind: string, east: number) => ({
    type: 'Feature',
    properties: { name, kind },
    geometry: {
      type: 'LineString',
      coordinates: [
        [9 + east, 48, 100],
        [9 + east, 48.001, 100.5],
      ],
    },
  });
  const file = (features: object[]) => [
    { name: 'lines.geojson', content: JSON.stringify({ type: 'FeatureCollection', features }) },
  ];

  it('is stored with what each kind of line was said to be, and undone', async () => {
    const before = await known();
    const client = await uploadWhole(test, file([line('Quay Lane', 'axis', 0), line('left', 'GU', 0.0001)]));
    const stored = await client.store({ ...asProject, 'lineKind:axis': 'centre', 'lineKind:GU': 'gutter' });
    expect(stored.preview!.counts).toMatchObject({ new: 2, refused: 0 });
    const { features } = (await test.inject(`${projectPath}/lines`)).json();
    expect(features.map((f: { properties: { kind: string } }) => f.properties.kind).sort()).toEqual([
      'centre',
      'gutter',
    ]);
    await client.undo();
    expect(await known()).toBe(before);
  });
});

describe('a design surface', () => {
  const surface = (rise: number) => `<?xml version="1.0"?>
<LandXML xmlns="http://www.landxml.org/schema/LandXML-1.2" version="1.2">
<Units><Metric linearUnit="meter" areaUnit="squareMeter" volumeUnit="cubicMeter"/></Units>
<CoordinateSystem epsgCode="25832"/>
<Surfaces><Surface name="Top"><Definition surfType="TIN"><Pnts>
<P id="1">5316300 500000 ${100 + rise}</P><P id="2">5316300 500020 100.4</P><P id="3">5316320 500020 100.8</P>
</Pnts><Faces><F>1 2 3</F></Faces></Definition></Surface></Surfaces></LandXML>`;
  const file = (rise: number) => [{ name: 'top.xml', content: surface(rise) }];

  it('is stored, is the same the second time, is replaced, and each undo restores the one before', async () => {
    const empty = await known();
    const first = await uploadWhole(test, file(0));
    expect((await first.store(asProject)).said).toMatch(/^Stored 1 new/);
    const one = await known();
    const same = await uploadWhole(test, file(0));
    expect((await same.store(asProject)).said).toMatch(/^Nothing to store/);
    const other = await uploadWhole(test, file(0.25));
    expect((await other.answerAll(asProject)).preview!.counts).toMatchObject({ changed: 1 });
    await other.store(asProject);
    expect(await known()).not.toBe(one);
    await other.undo();
    expect(await known()).toBe(one);
    await first.undo();
    expect(await known()).toBe(empty);
  });
});

it('imports are listed by state, the stored ones unless others are asked for', async () => {
  const open = await uploadWhole(test, shotFile(1));
  await (await uploadWhole(test, register(1))).store(asProject);
  const list = async (query: string) =>
    (await test.inject(`${importsPath}${query}`)).json<{ items: StagedImport[] }>().items;
  expect((await list('')).map(({ state }) => state)).toEqual(['stored']);
  expect((await list('?states=ready,failed')).map(({ id }) => id)).toEqual([open.path.split('/').at(-1)]);
  expect((await test.inject(`${importsPath}?states=no`)).statusCode).toBe(400);
});
