import { afterAll, beforeAll, beforeEach, describe, expect, it } from 'vitest';
import { createTestApp, registerCsv, type TestApp } from '../../helpers/app.ts';
import { asProject, storeFile, uploadWhole } from '../../helpers/staged-import.ts';

let test: TestApp;
beforeAll(async () => {
  test = await createTestApp();
});
afterAll(() => test.close());
beforeEach(async () => {
  const { sql } = test.database;
  await sql`truncate structures, surfaces, shots, import_batches, import_memories, code_maps cascade`;
});

const count = 6;
/** A few millimetres, as a rod on a lid scatters. */
const scatter = (index: number) => 0.003 * ((index % 3) - 1);

/** One shot on the rim of each cover of registerCsv, 0.1 m off its middle. */
function rimShots(elevation: (index: number) => number, decimals = 3): string {
  const lines = Array.from({ length: count }, (_, i) =>
    [500 + i, 5_316_400.1 + 20 * i, 500_000, elevation(i).toFixed(decimals), 'RIM'].join(','),
  );
  return `${lines.join('\n')}\n`;
}

async function preview(content: string, name = 'rims.csv') {
  const client = await uploadWhole(test, [{ name, content }]);
  await client.answer({ questions: asProject });
  return { client, ...(await client.now()).preview! };
}

const codesOf = ({ problems }: { problems: { code: string }[] }) => problems.map(({ code }) => code);

describe('rims of a survey', () => {
  beforeEach(() => storeFile(test, 'register.csv', registerCsv(count)));

  it('that agree with the register raise no question', async () => {
    const { problems, questions } = await preview(rimShots((i) => 99.95 + scatter(i)));
    expect(problems.filter(({ code }) => code.startsWith('rim'))).toEqual([]);
    expect(questions.map(({ id }) => id)).not.toContain('rimsDiffer');
  });

  it('that are all off by one amount are asked about, and nothing is stored before the answer', async () => {
    const { client, problems, questions } = await preview(rimShots((i) => 100.26 + scatter(i)));
    expect(problems).toContainEqual(
      expect.objectContaining({ code: 'rimOffset', message: expect.stringMatching(/median of 0\.31 m/) }),
    );
    expect(questions.find(({ id }) => id === 'rimsDiffer')).toMatchObject({
      isOpen: true,
      likely: null,
      choices: [{ id: 'keep' }],
    });
    expect((await client.act('commit')).status).toBe(409);
    await client.answer({ questions: { rimsDiffer: 'keep' } });
    expect((await client.act('commit')).status).toBe(200);
    await client.rest();
  });

  it('that were shot in feet are asked about with the unit, which mends them', async () => {
    const { client, questions } = await preview(rimShots((i) => (99.95 + scatter(i)) / 0.3048));
    const asked = questions.find(({ id }) => id === 'rimsDiffer')!;
    expect(asked.choices.map(({ id }) => id)).toEqual(['keep', 'unit:ft', 'unit:us-ft']);
    const { preview: mended } = await client.answer({ questions: { rimsDiffer: 'unit:ft' } });
    expect(mended!.units.vertical).toEqual({ unit: 'ft', from: 'given' });
    expect(mended!.questions.map(({ id }) => id)).not.toContain('rimsDiffer');
  });

  it('name the odd one with its row', async () => {
    const shown = await preview(rimShots((i) => 99.95 + scatter(i) + (i === 4 ? 0.5 : 0)));
    expect(shown.problems).toContainEqual(
      expect.objectContaining({ code: 'rimDiffers', row: 5, message: expect.stringMatching(/^C-005: /) }),
    );
    expect(shown.questions.map(({ id }) => id)).not.toContain('rimsDiffer');
  });
});

it('rims of a register are held against the rim shots that the project has', async () => {
  await storeFile(test, 'register.csv', registerCsv(count));
  await storeFile(
    test,
    'rims.csv',
    rimShots((i) => 99.95 + scatter(i)),
  );
  const other = registerCsv(count, (line) => line.replace(',99.95,', ',99.60,'));
  const shown = await preview(other, 'other.csv');
  expect(codesOf(shown)).toContain('rimOffset');
  expect(shown.questions.find(({ id }) => id === 'rimsDiffer')).toMatchObject({ isOpen: true });
});

it('as-builts that equal the plan to the millimetre are named', async () => {
  await storeFile(test, 'register.csv', registerCsv(count));
  const around = Array.from({ length: 8 * count }, (_, at) => {
    const [i, angle] = [Math.floor(at / 8), (at * Math.PI) / 4];
    const north = 5_316_400 + 20 * i + 2 * Math.cos(angle);
    return [at, north.toFixed(3), (500_000 + 2 * Math.sin(angle)).toFixed(3), 100 + 0.0137 * i, 'FG'].join();
  });
  await storeFile(test, 'finished.csv', around.join('\n'));
  expect(await test.plan()).toMatchObject({ state: 'done' });
  const planned = await test.database.sql<{ z: number }[]>`
    select (outcome #>> '{finished,elevation}')::float8 as z from plan_covers order by structure_id`;
  const copied = await preview(rimShots((i) => planned[i].z));
  expect(copied.problems).toContainEqual(
    expect.objectContaining({
      code: 'copiedAsBuilts',
      message: expect.stringMatching(/^6 of 6 as-builts equal the plan to the millimetre: C-001, /),
    }),
  );
  expect(codesOf(await preview(rimShots((i) => planned[i].z + 0.003 * (i + 1))))).not.toContain(
    'copiedAsBuilts',
  );
});
