import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { Database } from '../../../server/store/database.ts';
import { cutIntoBlocks, type Faces, loadFaces, replaceFaces } from '../../../server/store/faces.ts';
import { createTestApp, type TestApp } from '../../helpers/app.ts';

/** A strip of squares, two triangles each, along the grid's east. */
function strip(squares: number, level = 100): Faces {
  const points = new Float64Array(6 * (squares + 1));
  const faces = new Uint32Array(6 * squares);
  for (let i = 0; i <= squares; i++)
    points.set([500_000 + i, 5_316_000, level + i / 1000, 500_000 + i, 5_316_001, level], 6 * i);
  for (let i = 0; i < squares; i++)
    faces.set([2 * i, 2 * i + 2, 2 * i + 1, 2 * i + 1, 2 * i + 2, 2 * i + 3], 6 * i);
  return { points, faces };
}

const corners = ({ points, faces }: Faces): Float64Array => {
  const all = new Float64Array(3 * faces.length);
  faces.forEach((corner, i) => {
    all.set(points.subarray(3 * corner, 3 * corner + 3), 3 * i);
  });
  return all;
};

let test: TestApp;
let database: Database;
const key = { agencyId: 'mossvale', projectId: 'quay-lane', surfaceId: 'design' };
beforeAll(async () => {
  test = await createTestApp({ work: false });
  database = test.database;
  await database.kysely
    .insertInto('surfaces')
    .values({
      agency_id: key.agencyId,
      project_id: key.projectId,
      surface_id: key.surfaceId,
      name: 'Design',
      stage: 'finished',
    })
    .execute();
});
afterAll(() => test.close());

const countBlocks = async () =>
  (await database.kysely.selectFrom('face_blocks').selectAll().execute()).length;

describe('faces of a surface', () => {
  it('come back corner for corner and in their order, over as many blocks as they fill', async () => {
    const given = strip(25_000);
    await replaceFaces(database.kysely, key, given);
    expect(await countBlocks()).toBe(3);
    const kept = await loadFaces(database.kysely, key);
    expect(kept.faces.length).toBe(150_000);
    expect(Buffer.compare(bytes(corners(kept)), bytes(corners(given)))).toBe(0);
    const row = await database.kysely.selectFrom('surfaces').selectAll().executeTakeFirstOrThrow();
    expect(row).toMatchObject({ form: 'faces', face_count: 50_000 });
  });

  it('take the place of those that were there', async () => {
    await replaceFaces(database.kysely, key, strip(2, 90));
    expect(await countBlocks()).toBe(1);
    expect(corners(await loadFaces(database.kysely, key))).toEqual(corners(strip(2, 90)));
  });

  it('stand in blocks with the bounds of their own points', () => {
    const blocks = [...cutIntoBlocks(strip(12_000))];
    expect(blocks.map(({ west, east, south, north }) => [west, east, south, north])).toEqual([
      [500_000, 510_000, 5_316_000, 5_316_001],
      [510_000, 512_000, 5_316_000, 5_316_001],
    ]);
  });

  it('of none are none', async () => {
    expect([...cutIntoBlocks({ points: new Float64Array(), faces: new Uint32Array() })]).toEqual([]);
    expect(await loadFaces(database.kysely, { ...key, surfaceId: 'nowhere' })).toEqual({
      points: new Float64Array(),
      faces: new Uint32Array(),
    });
  });
});

const bytes = (array: Float64Array): Buffer => Buffer.from(array.buffer);
