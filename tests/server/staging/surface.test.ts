import { afterAll, beforeAll, beforeEach, describe, expect, it } from 'vitest';
import type { Surface } from '#shared/surface.ts';
import { createTestApp, projectPath, registerCsv, shotsCsv, type TestApp } from '../../helpers/app.ts';
import { asProject, importsPath, storeFile, uploadWhole } from '../../helpers/staged-import.ts';

let test: TestApp;
beforeAll(async () => {
  test = await createTestApp();
});
afterAll(() => test.close());
beforeEach(async () => {
  const { sql } = test.database;
  await sql`truncate structures, surfaces, shots, lines, streets, import_batches, import_memories cascade`;
});

const upload = (target = {}, content = shotsCsv(2)) =>
  uploadWhole(test, [{ name: 'night.csv', content }], target);
const surfaces = async () =>
  (await test.inject(`${projectPath}/surfaces`)).json<{ items: Surface[] }>().items;
const where = { whereItLies: 'right' };

describe('the surface that a survey is laid on', () => {
  it('is described with defaults, and says which of them were assumed', async () => {
    const client = await upload();
    const shown = (await client.answer({ questions: { crs: 'project', verticalUnit: 'us-ft' } })).preview!;
    expect(shown.surface).toEqual({
      id: 'night',
      name: 'night',
      isNew: true,
      stage: 'finished',
      lift: null,
      epoch: null,
      verticalDatum: null,
      elevationUnit: 'us-ft',
      method: null,
      assumed: ['name', 'stage', 'verticalDatum', 'epoch'],
    });
  });

  it('is stored as it was said to be', async () => {
    const target = {
      surfaceName: 'Second lift',
      stage: 'lift',
      lift: 2,
      epoch: '2026-05-02',
      verticalDatum: 'NAVD88',
      method: 'level',
    } as const;
    const client = await upload(target);
    expect((await client.answerAll({ ...asProject, ...where })).preview!.surface!.assumed).toEqual([]);
    await client.store();
    const { surfaceName: name, ...said } = target;
    expect(await surfaces()).toMatchObject([{ id: 'second-lift', name, ...said, elevationUnit: 'm' }]);
    const next = await upload({ surfaceName: 'Third' });
    expect((await next.now()).preview!.surface).toMatchObject({ verticalDatum: 'NAVD88' });
  });

  it('has the day that every shot of the file names', async () => {
    const dated = (day: (index: number) => string) =>
      `point,northing,easting,elevation,code,date\n${shotsCsv(1, (line, index) => `${line},${day(index)}`)}`;
    const one = await upload(
      {},
      dated((index) => `2026-05-02 10:0${index}`),
    );
    expect((await one.now()).preview!.surface!.epoch).toBe('2026-05-02');
    const two = await upload(
      {},
      dated((index) => `2026-05-0${1 + (index % 2)}`),
    );
    expect((await two.now()).preview!.surface!.epoch).toBeNull();
  });

  it('of another day or lift than the project has under that name is asked about', async () => {
    await (await upload({ epoch: '2026-05-02' })).store({ ...asProject, ...where });
    const other = await upload({ epoch: '2026-06-11' });
    const asked = (await other.now()).preview!.questions.find(({ id }) => id === 'sameSurface')!;
    expect(asked.text).toMatch(/epoch 2026-05-02, here 2026-06-11/);
    expect(asked.isOpen).toBe(true);
  });

  it('asks which lift it is the top of', async () => {
    const client = await upload({ stage: 'lift' });
    const { questions } = (await client.answerAll({ ...asProject, ...where, lift: '2' })).preview!;
    expect(questions.map(({ id }) => id)).toContain('lift');
    await client.store();
    expect(await surfaces()).toMatchObject([{ stage: 'lift', lift: 2 }]);
  });

  it.each([
    [{ stage: 'finished', lift: 1 }, '/target/lift'],
    [{ epoch: '2026-02-30' }, '/target/epoch'],
  ])('cannot be %j', async (target, path) => {
    const payload = { files: [{ name: 'a.csv', sizeBytes: 1 }], target };
    const answer = await test.inject({ method: 'POST', url: importsPath, payload });
    expect(answer.json()).toMatchObject({ status: 400, errors: [{ path }] });
  });
});

describe('where a project lies', () => {
  const problemsOf = async (client: Awaited<ReturnType<typeof upload>>, crs: string) =>
    (await client.answer({ questions: { crs } })).preview!;

  it('is asked with the first file of all, by where it would land', async () => {
    const client = await upload();
    const { questions } = await problemsOf(client, 'project');
    const asked = questions.find(({ id }) => id === 'whereItLies')!;
    expect(asked).toMatchObject({ isOpen: true, likely: null, choices: [{ id: 'right' }] });
    expect(asked.choices[0].lands!.lat).toBeCloseTo(48, 1);
    expect(asked.text).toMatch(/latitude 47\.99\d+|latitude 48\.00\d+/);
    await client.store({ ...asProject, ...where });
    const second = await uploadWhole(test, [{ name: 'second.csv', content: shotsCsv(2) }]);
    expect((await problemsOf(second, 'project')).questions.map(({ id }) => id)).not.toContain('whereItLies');
  });

  it.each([
    ['covers', () => storeFile(test, 'register.csv', registerCsv(3))],
    ['shots', () => storeFile(test, 'first.csv', shotsCsv(2))],
  ])('is known from its %s, so that the next file in a wrong zone is named', async (_, lay) => {
    const before = await upload();
    await before.act('discard');
    await lay();
    const client = await uploadWhole(test, [{ name: 'next.csv', content: shotsCsv(2) }]);
    const { problems, questions } = await problemsOf(client, 'EPSG:25833');
    expect(problems.map(({ code }) => code)).toContain('outsideArea');
    const zone = questions.find(({ id }) => id === 'zone')!;
    expect(zone.choices.map(({ id }) => id)).toContain('EPSG:25832');
  });
});
