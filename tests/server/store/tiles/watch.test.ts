import { afterAll, beforeAll, describe, expect, it, vi } from 'vitest';
import type { Sql } from '../../../../server/store/database.ts';
import { createTestApp, registerCsv, type TestApp } from '../../../helpers/app.ts';
import { storeFile } from '../../../helpers/staged-import.ts';

vi.setConfig({ testTimeout: 30_000, hookTimeout: 30_000 });

/** Every test of the API runs with the watch of helpers/watch-tiles.ts: this shows that it would notice. */
describe('a transaction that does not bring the tiles up to date', () => {
  let test: TestApp;
  let asServer: Sql;
  beforeAll(async () => {
    test = await createTestApp();
    asServer = test.database.connect(1);
    await storeFile(test, 'register.csv', registerCsv(3));
  });
  afterAll(async () => {
    await asServer.end();
    await test.close();
  });

  it.each([
    [
      'makes',
      `insert into structures (agency_id, structure_id, kind, lon, lat, cell, crs, easting_m, northing_m,
      frame_height_m, rim_diameter_m) values ('mossvale', 'X', 'inlet', 9, 48, 1, 'EPSG:25832', 5e5, 5.3e6, 0.15, 0.6)`,
    ],
    ['changes', `update structures set kind = 'inlet' where structure_id = 'C-001'`],
    ['moves', `update structures set lon = lon + 0.001 where structure_id = 'C-001'`],
    ['removes', `delete from structures where structure_id = 'C-001'`],
    ['gives a status to', `update project_covers set status = 'raise' where structure_id = 'C-002'`],
    [
      'gives a status of the field to',
      `update project_covers set field_status = 'set' where structure_id = 'C-002'`,
    ],
    ['takes out of its project', `delete from project_covers where structure_id = 'C-002'`],
  ])('and %s a structure is refused', async (_, statement) => {
    await expect(asServer.unsafe(statement)).rejects.toThrow(/the tiles do not show what was written to/);
  });

  it('passes with what the tiles do not show', async () => {
    await asServer`update structures set rim_elevation_m = rim_elevation_m + 1`;
    await asServer`update project_covers set plan_stale = true, crew = 'North'`;
  });
});
