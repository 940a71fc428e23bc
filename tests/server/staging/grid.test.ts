import { afterAll, beforeAll, beforeEach, describe, expect, it } from 'vitest';
import type { CoverCard } from '#shared/cover.ts';
import { createTestApp, projectPath, registerCsv, type TestApp } from '../../helpers/app.ts';
import { storeFile, uploadWhole } from '../../helpers/staged-import.ts';
import { type TiffOptions, tiffFile } from '../../helpers/tiffFile.ts';

let test: TestApp;
beforeAll(async () => {
  test = await createTestApp();
});
afterAll(() => test.close());
beforeEach(async () => {
  const { sql } = test.database;
  await sql`truncate structures, surfaces, shots, import_batches, import_memories cascade`;
  await storeFile(test, 'register.csv', registerCsv(3));
});

const cell = 0.5;
/** Upper left of the grid: as a corner of an area pixel, or the middle of a point pixel. */
const left = 499_990;
const top = 5_316_450;
const plane = (east: number, north: number) => 100 + 0.02 * (east - 500_000) + 0.005 * (north - 5_316_400);

/** Cells of a tilted plane; a value is that of its cell's middle (OGC GeoTIFF 1.1, 7.1, raster space). */
function planeTiff(pixels: 'area' | 'point', options: Partial<TiffOptions> = {}): Uint8Array {
  const half = pixels === 'area' ? 0.5 : 0;
  return tiffFile({
    columns: 40,
    rows: 140,
    cell: 'f64',
    value: (column, row) => plane(left + (column + half) * cell, top - (row + half) * cell),
    tags: {
      33550: { type: 'double', values: [cell, cell, 0] },
      33922: { type: 'double', values: [0, 0, 0, left, top, 0] },
    },
    keys: { 1024: 1, 1025: pixels === 'area' ? 1 : 2, 3072: 25832, 3076: 9001, 4099: 9001 },
    ...options,
  });
}

const finishedOf = async (id: string) =>
  (await test.inject(`${projectPath}/covers/${id}`)).json<CoverCard>().plan!.finished!;

describe('a grid of elevations', () => {
  it.each(['area', 'point'] as const)(
    'of %s pixels is a surface that plans are made from',
    async (pixels) => {
      const client = await uploadWhole(test, [{ name: 'dem.tif', content: planeTiff(pixels) }]);
      const { preview } = await client.answerAll({ stage: 'finished' });
      expect(preview).toMatchObject({
        kind: 'grid',
        storable: true,
        counts: { new: 2 * 39 * 139, refused: 0 },
        sample: [{ columns: 40, rows: 140, cellEast: cell, cellNorth: cell }],
      });
      expect(preview!.bounds!.maxNorthing).toBeCloseTo(pixels === 'area' ? top : top + cell / 2, 9);
      expect(preview!.warnings.join()).toMatch(/5,600 cells make 10,842 faces .* longest side is 0\.71 m/);
      await client.store();
      expect(await test.plan()).toMatchObject({ state: 'done' });
      for (const [index, id] of ['C-001', 'C-002', 'C-003'].entries()) {
        const { elevationM, gradientEast, gradientNorth } = await finishedOf(id);
        expect(Math.abs(elevationM - plane(500_000, 5_316_400 + 20 * index))).toBeLessThan(1e-6);
        expect(gradientEast).toBeCloseTo(0.02, 6);
        expect(gradientNorth).toBeCloseTo(0.005, 6);
      }
    },
  );

  it('is the same the second time, is replaced, and undone to what was there', async () => {
    const faces = async () =>
      JSON.stringify(await test.database.sql`select block, points, faces from face_blocks order by block`);
    const store = async (content: Uint8Array) => {
      const client = await uploadWhole(test, [{ name: 'dem.tif', content }]);
      return { client, stored: await client.store({ stage: 'finished' }) };
    };
    const first = await store(planeTiff('area'));
    const before = await faces();
    expect((await store(planeTiff('area'))).stored.said).toMatch(/^Nothing to store/);
    const other = await store(planeTiff('area', { value: () => 101 }));
    expect(other.stored.preview!.counts).toMatchObject({ changed: 2 * 39 * 139 });
    expect(await faces()).not.toBe(before);
    await other.client.undo();
    expect(await faces()).toBe(before);
    await first.client.undo();
    expect(await faces()).toBe('[]');
  });

  it('without a word for "no elevation" takes the usual mark for it, says so, and has no face there', async () => {
    const value = (column: number) => (column < 20 ? -9999 : 100);
    const content = planeTiff('area', { value });
    const client = await uploadWhole(test, [{ name: 'dem.tif', content }]);
    const { counts, problems, bounds } = (await client.now()).preview!;
    expect(counts.new).toBe(2 * 19 * 139);
    expect(problems.map(({ code }) => code)).toContain('noDataNotSaid');
    expect(bounds).toMatchObject({ minElevation: 100, maxElevation: 100 });
  });

  it('too large to be stored whole is stored near the covers, and says so', async () => {
    const content = planeTiff('area', { columns: 2000, rows: 1200, cell: 'u8', value: () => 100 });
    const client = await uploadWhole(test, [{ name: 'county.tif', content }]);
    const { counts, warnings } = (await client.answerAll({ verticalUnit: 'm' })).preview!;
    // Parts of 50 m by 50 m: of 40 m of street with 60 m around no more than 5 by 6.
    expect(counts.new).toBeGreaterThan(20_000);
    expect(counts.new).toBeLessThanOrEqual(5 * 6 * 20_000);
    expect(warnings.join()).toMatch(/only what lies within 60 m of the project's covers is stored/);
  });

  it('with cells larger than plans accept says that no plan will have an answer', async () => {
    const tags = {
      33550: { type: 'double', values: [150, 150, 0] },
      33922: { type: 'double', values: [0, 0, 0, left, top, 0] },
    } as const;
    const content = planeTiff('area', { columns: 4, rows: 4, tags: tags as never, value: () => 100 });
    const client = await uploadWhole(test, [{ name: 'coarse.tif', content }]);
    expect((await client.now()).preview!.warnings.join()).toMatch(/longest side that plans accept \(200 m\)/);
  });
});
