import { type Kysely, sql } from 'kysely';
import { type Block, replaceBlocks } from '../faces.ts';
import type { Counts } from '../imports/batches.ts';
import { lockProject } from '../plans.ts';
import type { Tables } from '../tables.ts';
import { insertChanges } from './changes.ts';
import { findStoredSurface, type StoredSurface, type SurfaceToLay } from './surfaces.ts';

interface Key {
  agencyId: string;
  projectId: string;
  importId: string;
}

interface Target extends Key {
  surface: Omit<SurfaceToLay, 'id' | 'name'>;
}

/** A surface of faces that is to be stored whole: its faces have no names to tell them apart by. */
export interface DesignToLay {
  id: string;
  name: string;
  faceCount: number;
  sha256: string;
  /** Its faces block by block; asked for once, where they are stored. */
  blocks: () => Iterable<Block> | AsyncIterable<Block>;
}

export interface DesignsLaid {
  counts: Counts;
  whyNot: string | null;
}

/** Counts faces: those of a surface that the project has in other words count as changed, all of them. */
export async function countDesigns(
  db: Kysely<Tables>,
  key: Key,
  designs: readonly DesignToLay[],
): Promise<DesignsLaid> {
  const counts: Counts = { new: 0, changed: 0, same: 0 };
  for (const { id, name, faceCount: count, sha256 } of designs) {
    const stored = await findStoredSurface(db, key, id);
    const whyNot = stored && whyNotFaces(stored, name);
    if (whyNot) return { counts, whyNot };
    if (!stored) counts.new += count;
    else if (stored.contentSha256 === sha256) counts.same += count;
    else counts.changed += count;
  }
  return { counts, whyNot: null };
}

function whyNotFaces({ form, contentSha256 }: StoredSurface, name: string): string | null {
  if (form === 'faces' || contentSha256 !== null) return null;
  return `The project has a survey "${name}" already; give the design surface another name.`;
}

/** Stores surfaces in the caller's transaction, and keeps the faces that they take the place of. */
export async function storeDesigns(
  db: Kysely<Tables>,
  target: Target,
  designs: readonly DesignToLay[],
): Promise<DesignsLaid> {
  await lockProject(db, target);
  const counted = await countDesigns(db, target, designs);
  if (counted.whyNot !== null) return counted;
  for (const design of designs) {
    const stored = await findStoredSurface(db, target, design.id);
    if (stored?.contentSha256 === design.sha256) continue;
    await (stored ? replaceStored(db, target, { design, stored }) : insertNew(db, target, design));
    await replaceBlocks(db, surfaceKey(target, design.id), design.blocks(), target.importId);
  }
  return counted;
}

const surfaceKey = ({ agencyId, projectId }: Key, surfaceId: string) => ({ agencyId, projectId, surfaceId });

async function insertNew(
  db: Kysely<Tables>,
  { agencyId, projectId, importId, surface }: Target,
  { id, name, sha256 }: DesignToLay,
): Promise<void> {
  await db
    .insertInto('surfaces')
    .values({
      agency_id: agencyId,
      project_id: projectId,
      surface_id: id,
      name,
      stage: surface.stage,
      lift: surface.lift,
      epoch: surface.epoch,
      vertical_datum: surface.verticalDatum,
      elevation_unit: surface.elevationUnit,
      method: surface.method,
      form: 'faces',
      import_batch_id: importId,
      content_sha256: sha256,
    })
    .execute();
  const made = { kind: 'surface' as const, key: id, before: null, afterVersion: 1 };
  await insertChanges(db, { agencyId, importId }, [made]);
}

async function replaceStored(
  db: Kysely<Tables>,
  { agencyId, projectId, importId }: Target,
  { design, stored }: { design: DesignToLay; stored: StoredSurface },
): Promise<void> {
  await sql`
    insert into face_block_changes (agency_id, import_batch_id, surface_id, block, points, faces, face_count,
      west_m, south_m, east_m, north_m, prior_batch_id)
    select agency_id, ${importId}::uuid, surface_id, block, points, faces, face_count, west_m, south_m, east_m,
      north_m, import_batch_id
    from face_blocks
    where agency_id = ${agencyId} and project_id = ${projectId} and surface_id = ${design.id}`.execute(db);
  await db
    .updateTable('surfaces')
    .set({ content_sha256: design.sha256, version: stored.version + 1 })
    .where('agency_id', '=', agencyId)
    .where('project_id', '=', projectId)
    .where('surface_id', '=', design.id)
    .execute();
  const change = {
    kind: 'surface' as const,
    key: design.id,
    before: {
      contentSha256: stored.contentSha256,
      faceCount: stored.faceCount,
      version: stored.version,
    },
    afterVersion: stored.version + 1,
  };
  await insertChanges(db, { agencyId, importId }, [change]);
}
