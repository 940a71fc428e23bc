import type { Kysely } from 'kysely';
import type { SurfaceStage } from '#shared/staged-import.ts';
import type { Tables } from '../tables.ts';

export interface StoredSurface {
  id: string;
  name: string;
  stage: SurfaceStage;
  lift: number | null;
  epoch: string | null;
  verticalDatum: string | null;
  elevationUnit: 'm' | 'ft' | 'us-ft' | null;
  method: string | null;
  form: 'shots' | 'faces';
  contentSha256: string | null;
  importBatchId: string | null;
  faceCount: number;
  version: number;
}

/** A surface as an import describes it where the project has none of that name. */
export type SurfaceToLay = Pick<
  StoredSurface,
  'id' | 'name' | 'stage' | 'lift' | 'epoch' | 'verticalDatum' | 'elevationUnit' | 'method'
>;

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
    lift: row.lift,
    epoch: row.epoch,
    verticalDatum: row.vertical_datum,
    elevationUnit: row.elevation_unit,
    method: row.method,
    form: row.form,
    contentSha256: row.content_sha256,
    importBatchId: row.import_batch_id,
    faceCount: row.face_count,
    version: row.version,
  };
}

/** The vertical datum of a project's surfaces; null where none says one, or where they differ. */
export async function findOnlyDatum(
  db: Kysely<Tables>,
  { agencyId, projectId }: { agencyId: string; projectId: string },
): Promise<string | null> {
  const rows = await db
    .selectFrom('surfaces')
    .select('vertical_datum')
    .distinct()
    .where('agency_id', '=', agencyId)
    .where('project_id', '=', projectId)
    .where('vertical_datum', 'is not', null)
    .limit(2)
    .execute();
  return rows.length === 1 ? rows[0].vertical_datum : null;
}
