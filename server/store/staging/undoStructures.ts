import type { Kysely } from 'kysely';
import type { ChangedSince } from '#shared/staged-import.ts';
import type { Structure } from '#shared/structure.ts';
import { type CoverPlace, findCoverPlaces, upsertCovers } from '../covers.ts';
import { inChunks } from '../list.ts';
import { withdrawImportedRims } from '../rim-records.ts';
import { changesBetween, insertEvents, lockStructures, updateStructure } from '../structures.ts';
import type { Tables } from '../tables.ts';
import { applyStructureChanges } from '../tiles/changes.ts';
import { carryVersion, listChanges } from './changes.ts';
import { mostNamed, type StoredImport, type Undone } from './undo.ts';

interface Change {
  key: string;
  before: Structure | null;
  afterVersion: number | null;
}

/** Takes structures and covers back. One that was edited, or became a cover of another project, since then stays. */
export async function undoStructures(db: Kysely<Tables>, record: StoredImport): Promise<Undone> {
  const { agencyId, projectId } = record;
  const changes = await listChanges<Structure>(db, record, 'structure');
  const covers = await listChanges<CoverPlace>(db, record, 'cover');
  if (changes.length + covers.length === 0) return { removed: 0, restored: 0, skipped: [], skippedCount: 0 };
  const now = await lockStructures(
    db,
    agencyId,
    changes.map(({ key }) => key),
  );
  const elsewhere = await findElsewhere(db, { agencyId, projectId }, changes);
  const changed = new Map<string, string>();
  for (const { key, before, afterVersion } of changes) {
    const structure = now.get(key);
    if (structure && structure.version !== afterVersion) changed.set(key, `edited on ${structure.updatedAt}`);
    else if (!before && elsewhere.has(key)) changed.set(key, `became a cover of ${elsewhere.get(key)}`);
  }
  const mine = changes.filter(({ key }) => now.has(key) && !changed.has(key));
  const made = mine.filter(({ before }) => before === null).map(({ key }) => key);
  const restored = mine.filter((change): change is Change & { before: Structure } => change.before !== null);
  await restoreStructures(db, record, { restored, now });
  await restoreCovers(db, record, { covers, changed, made });
  await removeStructures(db, agencyId, made);
  const touched = new Set([...changes, ...covers].map(({ key }) => key));
  await applyStructureChanges(db, agencyId, [...touched]);
  const skipped = [...changed].map(([id, text]): ChangedSince => ({ kind: 'structure', id, text }));
  return {
    removed: made.length + joinedOnly(covers, changes),
    restored: restored.length,
    skipped: skipped.slice(0, mostNamed),
    skippedCount: skipped.length,
  };
}

/** Structures that the import only made covers of the project. */
function joinedOnly(
  covers: readonly { key: string; before: CoverPlace | null }[],
  changes: readonly Change[],
): number {
  const structures = new Set(changes.map(({ key }) => key));
  return covers.filter(({ key, before }) => before === null && !structures.has(key)).length;
}

async function findElsewhere(
  db: Kysely<Tables>,
  { agencyId, projectId }: { agencyId: string; projectId: string },
  changes: readonly Change[],
): Promise<Map<string, string>> {
  const found = new Map<string, string>();
  const made = changes.filter(({ before }) => before === null).map(({ key }) => key);
  for (const chunk of inChunks(made, 10_000)) {
    const rows = await db
      .selectFrom('project_covers')
      .select(['structure_id', 'project_id'])
      .where('agency_id', '=', agencyId)
      .where('structure_id', 'in', chunk)
      .where('project_id', '!=', projectId)
      .execute();
    for (const row of rows) found.set(row.structure_id, row.project_id);
  }
  return found;
}

async function restoreStructures(
  db: Kysely<Tables>,
  record: StoredImport,
  { restored, now }: { restored: (Change & { before: Structure })[]; now: Map<string, Structure> },
): Promise<void> {
  const { agencyId, importId, fileName } = record;
  for (const { before } of restored) {
    const { version } = now.get(before.id)!;
    await updateStructure(db, agencyId, before, version);
    const carried = { kind: 'structure' as const, key: before.id, from: before.version, to: version + 1 };
    await carryVersion(db, record, carried);
  }
  const events = restored.map(({ before }) => ({
    structureId: before.id,
    kind: 'changed' as const,
    detail: { undone: fileName, batch: importId, changes: changesBetween(now.get(before.id)!, before) },
  }));
  await insertEvents(db, agencyId, events);
  const ids = restored.map(({ before }) => before.id);
  await withdrawImportedRims(db, agencyId, importId, ids);
}

async function restoreCovers(
  db: Kysely<Tables>,
  { agencyId, projectId }: StoredImport,
  {
    covers,
    changed,
    made,
  }: {
    covers: readonly { key: string; before: CoverPlace | null }[];
    changed: ReadonlyMap<string, string>;
    made: readonly string[];
  },
): Promise<void> {
  const removed = new Set(made);
  const left = covers.filter(({ key }) => !changed.has(key) && !removed.has(key));
  const places = left.flatMap(({ before }) => (before ? [before] : []));
  const there = await findCoverPlaces(
    db,
    { agencyId, projectId },
    places.map(({ structureId }) => structureId),
  );
  await upsertCovers(
    db,
    { agencyId, projectId },
    places.filter(({ structureId }) => there.has(structureId)),
  );
  const joined = left.filter(({ before }) => before === null).map(({ key }) => key);
  for (const chunk of inChunks(joined, 10_000)) {
    await db
      .deleteFrom('project_covers')
      .where('agency_id', '=', agencyId)
      .where('project_id', '=', projectId)
      .where('structure_id', 'in', chunk)
      .execute();
  }
}

async function removeStructures(db: Kysely<Tables>, agencyId: string, ids: readonly string[]): Promise<void> {
  for (const chunk of inChunks(ids, 10_000)) {
    await db
      .deleteFrom('structures')
      .where('agency_id', '=', agencyId)
      .where('structure_id', 'in', chunk)
      .execute();
  }
}
