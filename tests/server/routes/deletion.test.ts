import { afterAll, beforeAll, beforeEach, describe, expect, it } from 'vitest';
import type { LineCollection } from '#shared/line.ts';
import type { Project } from '#shared/project.ts';
import type { UndoReport } from '#shared/staged-import.ts';
import type { Surface } from '#shared/surface.ts';
import { createTestApp, projectPath, registerCsv, shotsCsv, type TestApp } from '../../helpers/app.ts';
import { layDesign } from '../../helpers/onGrid.ts';
import { asProject, storeFile, uploadWhole } from '../../helpers/staged-import.ts';

let test: TestApp;
beforeAll(async () => {
  test = await createTestApp();
});
afterAll(() => test.close());
beforeEach(async () => {
  const { sql } = test.database;
  await sql`truncate structures, surfaces, shots, lines, import_batches, import_memories cascade`;
});

const remove = (path: string, version: number | null) =>
  test.inject({
    method: 'DELETE',
    url: `${projectPath}/${path}`,
    headers: version === null ? {} : { 'if-match': `"${version}"` },
  });
const surfaces = async () =>
  (await test.inject(`${projectPath}/surfaces`)).json<{ items: Surface[] }>().items;
const rows = async () => {
  const [{ shots, blocks }] = await test.database.sql<{ shots: number; blocks: number }[]>`
    select (select count(*)::integer from shots) as shots, (select count(*)::integer from face_blocks) as blocks`;
  return { shots, blocks };
};
const store = async (name: string, content: string) => {
  const client = await uploadWhole(test, [{ name, content }]);
  await client.store(asProject);
  return client;
};

describe('a surface that is deleted', () => {
  it('goes with its shots, and the plan is due again', async () => {
    await storeFile(test, 'register.csv', registerCsv(3));
    await store('night.csv', shotsCsv(3));
    await store('day.csv', shotsCsv(1));
    await test.plan();
    expect((await test.inject(projectPath)).json<Project>().planStale).toBe(false);
    expect((await remove('surfaces/night', 1)).statusCode).toBe(204);
    expect((await surfaces()).map(({ id }) => id)).toEqual(['day']);
    expect(await rows()).toEqual({ shots: 8, blocks: 0 });
    expect((await test.inject(projectPath)).json<Project>().planStale).toBe(true);
    expect(await test.plan()).toMatchObject({ state: 'done', unchanged: false });
    const { plan } = (await test.inject(`${projectPath}/covers/C-003`)).json();
    expect(plan.status).toBe('unsurveyed');
  });

  it('goes with its faces', async () => {
    await layDesign(test, { id: 'issue-a', level: 100, south: -10, north: 110, epoch: '2026-02-01' });
    expect((await rows()).blocks).toBeGreaterThan(0);
    const [{ version }] = await surfaces();
    expect((await remove('surfaces/issue-a', version)).statusCode).toBe(204);
    expect(await rows()).toEqual({ shots: 0, blocks: 0 });
  });

  it('has to be the one that was seen, and to be there', async () => {
    await store('night.csv', shotsCsv(1));
    expect((await remove('surfaces/night', null)).statusCode).toBe(428);
    expect((await remove('surfaces/night', 7)).statusCode).toBe(412);
    expect((await rows()).shots).toBe(8);
    expect((await remove('surfaces/none', 1)).statusCode).toBe(404);
  });

  it('that an import made leaves that import nothing to undo, and one of its name since then stays', async () => {
    const first = await store('night.csv', shotsCsv(1));
    await remove('surfaces/night', 1);
    await store('night.csv', shotsCsv(2));
    expect((await first.undo()).json<UndoReport>()).toMatchObject({ removed: 0, skippedCount: 0 });
    expect((await rows()).shots).toBe(16);
  });

  it('takes the shots along that another import had replaced, and its undo says so', async () => {
    await store('night.csv', shotsCsv(1));
    const later = await store(
      'night.csv',
      shotsCsv(1, (line, index) => (index === 0 ? line.replace('100.001', '100.005') : line)),
    );
    await remove('surfaces/night', 1);
    const refused = await later.undo('refuse');
    expect(refused.statusCode).toBe(409);
    expect(refused.json().errors).toMatchObject([
      {
        path: '/surface/night',
        message: 'the surface was deleted; 1 earlier shots of it cannot be restored',
      },
    ]);
    expect((await later.undo('skip')).json<UndoReport>()).toMatchObject({ restored: 0, skippedCount: 1 });
    expect(await rows()).toEqual({ shots: 0, blocks: 0 });
  });
});

describe('a line that is deleted', () => {
  const file = (east: number) =>
    JSON.stringify({
      type: 'FeatureCollection',
      features: ['left', 'right'].map((name, index) => ({
        type: 'Feature',
        properties: { name, kind: 'GU' },
        geometry: {
          type: 'LineString',
          coordinates: [
            [9 + east + index / 1e4, 48],
            [9 + east + index / 1e4, 48.001],
          ],
        },
      })),
    });
  const lines = async () => (await test.inject(`${projectPath}/lines`)).json<LineCollection>().features;

  it('goes alone, and no import brings it back by being undone', async () => {
    const first = await store('lines.geojson', file(0));
    const second = await store('lines.geojson', file(0.0005));
    expect((await remove('lines/left', null)).statusCode).toBe(428);
    expect((await remove('lines/left', 1)).statusCode).toBe(412);
    expect((await remove('lines/left', 2)).statusCode).toBe(204);
    expect((await lines()).map(({ id }) => id)).toEqual(['right']);
    const refused = await second.undo('refuse');
    expect(refused.json().errors).toMatchObject([{ path: '/line/left', message: 'left was deleted' }]);
    expect((await second.undo('skip')).json<UndoReport>()).toMatchObject({ restored: 1, skippedCount: 1 });
    expect((await first.undo()).json<UndoReport>()).toMatchObject({ removed: 1, skippedCount: 0 });
    expect(await lines()).toEqual([]);
  });
});
