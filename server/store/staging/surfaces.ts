import type { Kysely } from 'kysely';
import type { SurfaceStage } from '#shared/staged-import.ts';
import type { Tables } from '../tables.ts';

export interface StoredSurface {
  id: string;
  name: string;
  stage: SurfaceStage;
  form: 'shots' | 'faces';
  contentSha256: string | null;
  importBatchId: string | null;
  faceCount: number;
  version: number;
}

/** A surface of a project as far as an import has to know it. */
export async function findStoredSurface(
  db: Kysely<Tables>,
  { agencyId, projectId }: { agencyId: string; projectId: string },
  surfaceId: string,
): Promise<StoredSurface | null> {
  const row = await db
    .selectFrom('surfaces')
    .selectAll()
    .where('agency_id', '=', agencyId)
    .where('project_id', '=', projectId)
    .where('surface_id', '=', surfaceId)
    .executeTakeFirst();
  if (!row) return null;
  return {
    id: row.surface_id,
    name: row.name,
    stage: row.stage,
    form: row.form,
    contentSha256: row.content_sha256,
    importBatchId: row.import_batch_id,
    faceCount: row.face_count,
    version: row.version,
  };
}
