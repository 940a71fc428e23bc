import type { Kysely } from 'kysely';
import type { Tables } from '../tables.ts';

export interface StoredPhoto {
  bytes: number;
  mediaType: string;
}

/** A picture that is all there; null where there is none. */
export async function findPhoto(
  db: Kysely<Tables>,
  agencyId: string,
  sha256: string,
): Promise<StoredPhoto | null> {
  const row = await db
    .selectFrom('photos')
    .select(['bytes', 'media_type'])
    .where('agency_id', '=', agencyId)
    .where('sha256', '=', sha256)
    .where('complete', '=', true)
    .executeTakeFirst();
  return row ? { bytes: row.bytes, mediaType: row.media_type } : null;
}

/** Notes that a picture is all there. */
export async function insertPhoto(
  db: Kysely<Tables>,
  agencyId: string,
  sha256: string,
  { bytes, mediaType }: StoredPhoto,
): Promise<void> {
  await db
    .insertInto('photos')
    .values({ agency_id: agencyId, sha256, bytes, media_type: mediaType, complete: true })
    .onConflict((conflict) => conflict.columns(['agency_id', 'sha256']).doNothing())
    .execute();
}
