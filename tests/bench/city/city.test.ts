import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { Database } from '../../../server/store/database.ts';
import { createDatabase } from '../../helpers/database.ts';
import { layCity } from './lay.ts';
import { finishedAt, layStreets, layStructures, readSize } from './layout.ts';

describe('the invented city', () => {
  let database: Database;
  let drop: () => Promise<void>;
  beforeAll(async () => {
    ({ database, drop } = await createDatabase());
  });
  afterAll(() => drop());

  it('is the same whenever it is laid', () => {
    const once = [...layStructures(layStreets(2000), 2000)];
    expect([...layStructures(layStreets(2000), 2000)]).toEqual(once);
    expect(new Set(once.map(({ id }) => id)).size).toBe(2000);
  });

  it('has as many rows as it is asked for, its shots within a few millimetres of the surface', async () => {
    const { agencyId, projectId } = await layCity(database, { structures: 900, covers: 300, shots: 6000 });
    const [counts] = await database.sql`
      select (select count(*) from structures where agency_id = ${agencyId})::int as structures,
        (select count(*) from project_covers where project_id = ${projectId})::int as covers,
        (select count(*) from shots where project_id = ${projectId})::int as shots`;
    expect(counts).toEqual({ structures: 900, covers: 300, shots: 6000 });
    const shots = await database.sql<{ east: number; north: number; elevation: number }[]>`
      select easting_m as east, northing_m as north, elevation_m as elevation from shots`;
    const misses = shots.map(({ east, north, elevation }) => elevation - finishedAt(east, north));
    expect(Math.max(...misses.map(Math.abs))).toBeLessThan(0.02);
    expect(Math.sqrt(misses.reduce((sum, miss) => sum + miss * miss, 0) / misses.length)).toBeCloseTo(
      0.003,
      3,
    );
  });

  it('takes its size from the command line, and refuses more covers than structures', () => {
    expect(readSize(['--structures=1000'])).toEqual({ structures: 1000, covers: 400, shots: 10_000 });
    expect(() => readSize(['--structures=10', '--covers=11'])).toThrow('11 covers');
    expect(() => readSize(['--shots=many'])).toThrow('"many"');
  });
});
