import { makeProjection } from '#core/crs/crs.ts';
import type { Surface } from '#shared/surface.ts';
import type { TreatmentZoneCreate } from '#shared/treatment.ts';
import { replaceFaces } from '../../server/store/faces.ts';
import { upsertLines } from '../../server/store/lines.ts';
import { touchProjectInputs } from '../../server/store/plan/changes.ts';
import { crsOf } from '../../server/store/projects.ts';
import type { TestApp } from './app.ts';

/** Things of the test project placed in metres from the first cover of its register. */

const firstCover = { east: 500_000, north: 5_316_400 };
const { toLonLat } = makeProjection(crsOf('EPSG:25832'));
const key = { agencyId: 'mossvale', projectId: 'quay-lane' };

export const lonLat = (east: number, north: number): number[] =>
  toLonLat(firstCover.east + east, firstCover.north + north);

/** Corners of a box, closed, counter-clockwise. */
export const box = (west: number, south: number, east: number, north: number): number[][] => [
  lonLat(west, south),
  lonLat(east, south),
  lonLat(east, north),
  lonLat(west, north),
  lonLat(west, south),
];

export const zone = (
  id: string,
  ring: number[][],
  change: Partial<TreatmentZoneCreate> = {},
): TreatmentZoneCreate => ({
  id,
  name: id,
  geometry: { type: 'Polygon', coordinates: [ring] },
  millDepthM: 0.04,
  liftsM: [0.05],
  ...change,
});

/** A level surface of two triangles that reaches from `south` to `north` of the first cover. */
export async function layDesign(
  { database: { kysely } }: TestApp,
  {
    id,
    level,
    south,
    north,
    epoch = null,
  }: { id: string; level: number; south: number; north: number } & Partial<Pick<Surface, 'epoch'>>,
): Promise<void> {
  const corners = [
    [-20, south],
    [20, south],
    [20, north],
    [-20, north],
  ];
  const points = Float64Array.from(
    corners.flatMap(([e, n]) => [firstCover.east + e, firstCover.north + n, level]),
  );
  await kysely
    .insertInto('surfaces')
    .values({
      agency_id: key.agencyId,
      project_id: key.projectId,
      surface_id: id,
      name: id,
      stage: 'finished',
      form: 'faces',
      epoch,
    })
    .execute();
  await replaceFaces(kysely, { ...key, surfaceId: id }, { points, faces: Uint32Array.of(0, 1, 2, 0, 2, 3) });
  await touchProjectInputs(kysely, key);
}

export async function layLine(
  { database: { kysely } }: TestApp,
  line: { id: string; kind: 'centre' | 'crown' | 'other'; corners: [number, number][]; street?: string },
): Promise<void> {
  const positions = line.corners.map(([e, n]): [number, number, null] => [
    firstCover.east + e,
    firstCover.north + n,
    null,
  ]);
  const { id, kind, street = null } = line;
  await upsertLines(kysely, key, [{ id, kind, name: id, street, positions }]);
  await touchProjectInputs(kysely, key);
}
