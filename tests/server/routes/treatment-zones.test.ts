import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { ProblemDetails } from '#shared/problem.ts';
import type { Project } from '#shared/project.ts';
import type { TreatmentZone } from '#shared/treatment.ts';
import { agencyPath, createTestApp, projectPath, registerCsv, type TestApp } from '../../helpers/app.ts';
import { box, lonLat, zone } from '../../helpers/onGrid.ts';
import { storeFile } from '../../helpers/staged-import.ts';

const path = `${projectPath}/treatment-zones`;
let test: TestApp;
beforeAll(async () => {
  test = await createTestApp({ work: false });
  await storeFile(test, 'register.csv', registerCsv(6));
});
afterAll(() => test.close());

const post = (payload: object) => test.inject({ method: 'POST', url: path, payload });
const list = async () => (await test.inject(path)).json<{ items: TreatmentZone[] }>().items;
const revision = async () => (await test.inject(projectPath)).json<Project>().inputRevision;

describe('treatment zones', () => {
  it('are kept in the grid and given back where they were drawn, with their area and covers', async () => {
    const before = await revision();
    const ring = box(-10, -10, 10, 50);
    const answer = await post(zone('north-end', ring, { name: 'North end', liftsM: [0.06, 0.04] }));
    expect(answer.statusCode).toBe(201);
    expect(answer.headers).toMatchObject({ location: `${path}/north-end`, etag: '"1"' });
    const created = answer.json<TreatmentZone>();
    expect(created).toMatchObject({
      id: 'north-end',
      name: 'North end',
      millDepthM: 0.04,
      liftsM: [0.06, 0.04],
      setDownM: null,
      millClearanceM: null,
      maxRiserM: null,
      coverCount: 3,
      version: 1,
    });
    expect(created.areaM2).toBeCloseTo(20 * 60, 3);
    const { geometry } = created;
    expect(geometry.type).toBe('Polygon');
    const [outer] = geometry.coordinates as number[][][];
    outer.forEach(([lon, lat], i) => {
      expect(lon).toBeCloseTo(ring[i][0], 9);
      expect(lat).toBeCloseTo(ring[i][1], 9);
    });
    expect(await list()).toEqual([created]);
    expect((await test.inject(`${path}/north-end`)).json()).toEqual(created);
    expect(await revision()).toBe(before + 1);
  });

  it('may have holes and several parts', async () => {
    const coordinates = [[box(100, 0, 120, 20), box(105, 5, 115, 15)], [box(130, 0, 140, 10)]];
    const answer = await post(zone('parts', [], { geometry: { type: 'MultiPolygon', coordinates } }));
    expect(answer.statusCode).toBe(201);
    expect(answer.json<TreatmentZone>()).toMatchObject({ geometry: { type: 'MultiPolygon' }, coverCount: 0 });
    expect(answer.json<TreatmentZone>().areaM2).toBeCloseTo(400 - 100 + 100, 3);
  });

  it('are changed by whoever read the version in force, and by nobody else', async () => {
    const url = `${path}/north-end`;
    const patch = (tag: string | undefined, payload: object) =>
      test.inject({ method: 'PATCH', url, headers: tag ? { 'if-match': tag } : {}, payload });
    expect((await patch(undefined, { millDepthM: 0.05 })).statusCode).toBe(428);
    const changed = await patch('"1"', { millDepthM: 0.05, setDownM: 0.003 });
    expect(changed.json()).toMatchObject({
      millDepthM: 0.05,
      setDownM: 0.003,
      liftsM: [0.06, 0.04],
      version: 2,
    });
    expect(changed.headers.etag).toBe('"2"');
    expect((await patch('"1"', { millDepthM: 0.06 })).statusCode).toBe(412);
    const moved = await patch('"2"', { geometry: { type: 'Polygon', coordinates: [box(-10, 30, 10, 110)] } });
    expect(moved.json()).toMatchObject({ coverCount: 4, millDepthM: 0.05, version: 3 });
  });

  it('are taken away, and only once', async () => {
    const url = `${path}/parts`;
    const remove = () => test.inject({ method: 'DELETE', url, headers: { 'if-match': '"1"' } });
    const before = await revision();
    expect((await remove()).statusCode).toBe(204);
    expect((await remove()).statusCode).toBe(404);
    expect((await list()).map(({ id }) => id)).toEqual(['north-end']);
    expect(await revision()).toBe(before + 1);
  });

  it('of one project are not those of another agency', async () => {
    const other = path.replace(agencyPath, '/api/agencies/elsewhere');
    expect((await test.inject(other)).statusCode).toBe(404);
  });

  const bow = [lonLat(0, 0), lonLat(10, 10), lonLat(10, 0), lonLat(0, 10), lonLat(0, 0)];
  it.each([
    ['no area', bow, {}, '/geometry/coordinates/0', 'crosses itself'],
    ['an open ring', box(0, 0, 10, 10).slice(0, 4), {}, '/geometry/coordinates/0', 'does not close'],
    [
      'latitude first',
      box(0, 0, 9, 9).map(([lon, lat]) => [lat, lon]),
      {},
      '/geometry/coordinates/0/0',
      'outside',
    ],
    ['a lift of no thickness', box(0, 0, 9, 9), { liftsM: [0] }, '/liftsM/0', 'must be > 0'],
    ['lifts not said', box(0, 0, 9, 9), { liftsM: undefined }, '/liftsM', 'is missing'],
    ['a field that is none', box(0, 0, 9, 9), { liftM: 0.05 }, '/liftM', 'is not known here'],
    ['a mill depth in millimetres', box(0, 0, 9, 9), { millDepthM: 40 }, '/millDepthM', 'must be <= 0.5'],
  ])('with %s are refused by name, and nothing is stored', async (_, ring, change, field, message) => {
    const before = await list();
    const answer = await post({ ...zone('wrong', ring), ...change });
    expect(answer.statusCode).toBe(400);
    const [error] = answer.json<ProblemDetails>().errors;
    expect(error.path).toBe(field);
    expect(error.message).toContain(message);
    expect(await list()).toEqual(before);
  });

  it('of an id that is taken are refused', async () => {
    expect((await post(zone('north-end', box(0, 0, 9, 9)))).statusCode).toBe(409);
  });
});
