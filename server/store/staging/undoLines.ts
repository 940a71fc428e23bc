import type { Kysely } from 'kysely';
import type { ChangedSince } from '#shared/staged-import.ts';
import { listLines, type ProjectLine, upsertLines } from '../lines.ts';
import { inChunks } from '../list.ts';
import type { Tables } from '../tables.ts';
import { carryVersion, listChanges } from './changes.ts';
import { mostNamed, type StoredImport, type Undone } from './undo.ts';

/** Takes lines back; one that was edited since then stays. */
export async function undoLines(db: Kysely<Tables>, record: StoredImport): Promise<Undone> {
  const changes = await listChanges<ProjectLine>(db, record, 'line');
  if (changes.length === 0) return { removed: 0, restored: 0, skipped: [], skippedCount: 0 };
  const now = new Map((await listLines(db, record)).map((line) => [line.id, line]));
  const skipped: ChangedSince[] = [];
  const removed: string[] = [];
  const restored: ProjectLine[] = [];
  for (const { key, before, afterVersion } of changes) {
    const line = now.get(key);
    if (!line) {
      // One that the import had made is gone as an undo would have it; an earlier one is not brought back unasked.
      if (before) skipped.push({ kind: 'line', id: key, text: `${before.name} was deleted` });
    } else if (line.version !== afterVersion) {
      skipped.push({ kind: 'line', id: key, text: `${line.name} was edited or imported again` });
    } else if (before) restored.push(before);
    else removed.push(key);
  }
  await upsertLines(db, record, restored);
  for (const { id: key, version: from } of restored) {
    await carryVersion(db, record, { kind: 'line', key, from, to: now.get(key)!.version + 1 });
  }
  for (const chunk of inChunks(removed, 10_000)) {
    await db
      .deleteFrom('lines')
      .where('agency_id', '=', record.agencyId)
      .where('project_id', '=', record.projectId)
      .where('line_id', 'in', chunk)
      .execute();
  }
  return {
    removed: removed.length,
    restored: restored.length,
    skipped: skipped.slice(0, mostNamed),
    skippedCount: skipped.length,
  };
}
