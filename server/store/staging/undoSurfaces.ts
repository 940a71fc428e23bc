import { type Kysely, sql } from 'kysely';
import type { ChangedSince } from '#shared/staged-import.ts';
import type { Tables } from '../tables.ts';
import { carryVersion, deletedVersion, listChanges } from './changes.ts';
import { findStoredSurface, type StoredSurface } from './surfaces.ts';
import { mostNamed, type StoredImport, type Undone } from './undo.ts';

interface Before {
  contentSha256: string | null;
  faceCount: number;
  version: number;
}

/** Takes design surfaces back; one that was edited, or whose faces were replaced again, since then stays. */
export async function undoDesigns(db: Kysely<Tables>, record: StoredImport): Promise<Undone> {
  const skipped: ChangedSince[] = [];
  let removed = 0;
  let restored = 0;
  for (const { key, before, afterVersion } of await listChanges<Before>(db, record, 'surface')) {
    const surface = await findStoredSurface(db, record, key);
    if (!surface && before) skipped.push({ kind: 'surface', id: key, text: 'the surface was deleted' });
    if (surface?.form !== 'faces') continue;
    if (surface.version !== afterVersion) {
      skipped.push({ kind: 'surface', id: key, text: `${surface.name} was edited or imported again` });
    } else if (before) restored += await restoreFaces(db, record, { surface, before });
    else {
      removed += surface.faceCount;
      await deleteSurface(db, record, key);
    }
  }
  return { removed, restored, skipped: skipped.slice(0, mostNamed), skippedCount: skipped.length };
}

async function restoreFaces(
  db: Kysely<Tables>,
  { agencyId, projectId, importId }: StoredImport,
  { surface, before }: { surface: StoredSurface; before: Before },
): Promise<number> {
  await sql`
    delete from face_blocks
    where agency_id = ${agencyId} and project_id = ${projectId} and surface_id = ${surface.id}`.execute(db);
  await sql`
    insert into face_blocks (agency_id, project_id, surface_id, block, points, faces, face_count, west_m, south_m,
      east_m, north_m, import_batch_id)
    select agency_id, ${projectId}, surface_id, block, points, faces, face_count, west_m, south_m, east_m, north_m,
      prior_batch_id
    from face_block_changes
    where agency_id = ${agencyId} and import_batch_id = ${importId} and surface_id = ${surface.id}`.execute(
    db,
  );
  await db
    .updateTable('surfaces')
    .set({
      content_sha256: before.contentSha256,
      face_count: before.faceCount,
      version: surface.version + 1,
    })
    .where('agency_id', '=', agencyId)
    .where('project_id', '=', projectId)
    .where('surface_id', '=', surface.id)
    .execute();
  const carried = {
    kind: 'surface' as const,
    key: surface.id,
    from: before.version,
    to: surface.version + 1,
  };
  await carryVersion(db, { agencyId, projectId }, carried);
  return before.faceCount;
}

/** Surfaces of shots that the import made go with their last shot; others' shots keep them. */
export async function undoEmptySurfaces(db: Kysely<Tables>, record: StoredImport): Promise<Undone> {
  for (const { key, before, afterVersion } of await listChanges<Before>(db, record, 'surface')) {
    if (before || afterVersion === deletedVersion) continue;
    const surface = await findStoredSurface(db, record, key);
    if (surface?.form !== 'shots') continue;
    const shot = await db
      .selectFrom('shots')
      .select('point')
      .where('agency_id', '=', record.agencyId)
      .where('project_id', '=', record.projectId)
      .where('surface_id', '=', key)
      .limit(1)
      .executeTakeFirst();
    if (!shot) await deleteSurface(db, record, key);
  }
  return { removed: 0, restored: 0, skipped: [], skippedCount: 0 };
}

async function deleteSurface(
  db: Kysely<Tables>,
  { agencyId, projectId }: StoredImport,
  surfaceId: string,
): Promise<void> {
  await db
    .deleteFrom('surfaces')
    .where('agency_id', '=', agencyId)
    .where('project_id', '=', projectId)
    .where('surface_id', '=', surfaceId)
    .execute();
}
