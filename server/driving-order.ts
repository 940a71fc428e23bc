import type { Kysely } from 'kysely';
import { drivingOrder } from '#core/route/drivingOrder.ts';
import { findCoverPlaces } from './store/covers.ts';
import type { Tables } from './store/tables.ts';

/** These covers in the order that they are driven to; those that are no covers of the project are absent. */
export async function inDrivingOrder(
  db: Kysely<Tables>,
  project: { agencyId: string; projectId: string },
  ids: readonly string[],
): Promise<string[]> {
  const places = await findCoverPlaces(db, project, ids);
  return drivingOrder(
    [...places.values()].map(({ structureId: id, eastingM: east, northingM: north }) => ({
      id,
      east,
      north,
    })),
  );
}
