import { afterAll, beforeAll, beforeEach, expect, it } from 'vitest';
import type { CoverRow } from '#shared/cover.ts';
import {
  agencyPath,
  createTestApp,
  projectPath,
  registerCsv,
  shotsCsv,
  type TestApp,
} from '../../helpers/app.ts';
import { asProject, storeFile, uploadWhole } from '../../helpers/staged-import.ts';

let test: TestApp;
beforeAll(async () => {
  test = await createTestApp();
});
afterAll(() => test.close());
beforeEach(async () => {
  await test.database.sql`truncate structures, surfaces, shots, import_batches cascade`;
});

const store = (content: string | Uint8Array, name = 'file.csv') => storeFile(test, name, content);
const preview = async (content: string | Uint8Array, name = 'file.csv') =>
  (await (await uploadWhole(test, [{ name, content }])).answerAll(asProject)).preview!;

it('a file with some rows changed and some added is counted so', async () => {
  await store(shotsCsv(4));
  const edited = shotsCsv(5, (line, index) => (index === 1 ? line.replace('99.999', '99.998') : line));
  expect((await preview(edited)).counts).toMatchObject({ changed: 1, same: 31, new: 8 });
});

it('a register names refused rows by row, column, value and rule, and stores the others', async () => {
  const file = registerCsv(5, (line, index) => {
    if (index === 1) return line.replace('99.75', 'abc');
    if (index === 3) return line.replace(',150,', ',,');
    return line;
  });
  const { counts, problems } = (await store(file)).preview!;
  expect(counts).toMatchObject({ read: 5, new: 3, refused: 2 });
  expect(problems).toMatchObject([
    { row: 3, column: 'seat_elevation', value: 'abc', code: 'notANumber' },
    { row: 5, column: 'frame_height', code: 'missing' },
  ]);
  expect((await test.inject(`${agencyPath}/structures/C-002`)).statusCode).toBe(404);
});

it('a register keeps what is known where it says nothing, and notes what it changed', async () => {
  await store(registerCsv(1));
  const blank = registerCsv(1, (line) => line.replace('Sewer works', '').replace('99.75', '99.70'));
  await store(blank, 'spring.csv');
  const { owner, history } = (await test.inject(`${agencyPath}/structures/C-001`)).json();
  expect(owner).toBe('Sewer works');
  expect(history[0]).toMatchObject({
    kind: 'imported',
    detail: { file: 'spring.csv', changes: { seatElevationM: [99.75, 99.7] } },
  });
});

it('a blank cell keeps set-down and adjustment, and the preview says so', async () => {
  const withSetDown = (fields: string) =>
    registerCsv(2)
      .split('\n')
      .map((line, index) => (line === '' ? '' : `${line},${index === 0 ? 'set_down_mm,adjustment' : fields}`))
      .join('\n');
  await store(withSetDown('6,telescoping'));
  const { counts, warnings } = await preview(withSetDown(','));
  expect(counts).toMatchObject({ same: 2, changed: 0 });
  expect(warnings).toEqual([
    'Blank cells keep what the register says: set_down_mm in 2 rows, adjustment in 2 rows.',
  ]);
  const stored = await store(withSetDown(',').replace('99.75', '99.70'));
  expect(stored.preview!.counts).toMatchObject({ changed: 1 });
  expect((await test.inject(`${agencyPath}/structures/C-001`)).json()).toMatchObject({
    seatElevationM: 99.7,
    setDownM: 0.006,
    adjustment: 'telescoping',
  });
});

it('a register gives covers their station, offset and bearing along the street they name', async () => {
  await store(registerCsv(2, (line, index) => (index === 1 ? line.replace(',500000,', ',500003,') : line)));
  const { items } = (await test.inject(`${projectPath}/covers`)).json<{ items: CoverRow[] }>();
  expect(items[1].stationM! - items[0].stationM!).toBeCloseTo(20, 3);
  expect(items[0].offsetM).toBeCloseTo(0, 3);
  // East of a street that runs north is right of it, looking up-station.
  expect(items[1].offsetM).toBeCloseTo(3, 3);
  const card = (await test.inject(`${projectPath}/covers/C-001`)).json();
  expect(Math.min(card.roadBearingDeg, 360 - card.roadBearingDeg)).toBeLessThan(0.01);
});

it('a file with every place off the map says what that is a sign of', async () => {
  const swapped = registerCsv(2, (line) => line.replace(/,(\d+),500000,/, ',500000,$1,'));
  const client = await uploadWhole(test, [{ name: 'file.csv', content: swapped }]);
  const { problems } = (await client.answer({ questions: { crs: 'project' } })).preview!;
  expect(problems.map(({ code }) => code)).toContain('axesSwapped');
});

it('a survey tells points of one name apart by their order', async () => {
  const file = shotsCsv(1, (line) => line.replace(/^\d+/, '7'));
  expect(await store(file)).toMatchObject({ surfaceIds: ['file'], preview: { counts: { new: 8 } } });
  expect((await preview(file)).counts).toMatchObject({ new: 0, same: 8 });
});

it('a survey names codes that nobody knows, with their number', async () => {
  const code = (index: number) => (index < 3 ? 'ZZ' : 'CL');
  const file = shotsCsv(1, (line, index) => line.replace('FG', code(index)));
  const { codes } = await preview(file);
  expect(codes).toContainEqual({ code: 'ZZ', count: 3, role: 'surface', from: 'unknown' });
});

it('text that means something to COPY is stored as it stands', async () => {
  await store('1,5316300,500000,100,a\\N\\tb\\\\."q\n\\.,5316301,500000,100,FG\n');
  const { items } = (await test.inject(`${projectPath}/surfaces/file/shots`)).json();
  expect(items.map((shot: { point: string; code: string }) => [shot.point, shot.code])).toEqual([
    ['1', 'a\\N\\tb\\\\."q'],
    ['\\.', 'FG'],
  ]);
});

it('a register in Windows-1252 is read, and says so', async () => {
  const latin = Buffer.from(registerCsv(1).replace('Sewer works', 'Abwasserbetrieb M\u00fchle'), 'latin1');
  expect((await store(latin)).preview!.problems).toMatchObject([
    { code: 'encoding', message: expect.stringContaining('Windows-1252') },
  ]);
  expect((await test.inject(`${agencyPath}/structures/C-001`)).json().owner).toBe(
    'Abwasserbetrieb M\u00fchle',
  );
});
