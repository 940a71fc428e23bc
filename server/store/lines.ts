import { type Kysely, type Selectable, sql } from 'kysely';
import type { LineKind } from '#shared/line.ts';
import { inChunks } from './list.ts';
import { noteDeleted } from './staging/changes.ts';
import type { GridPosition, LinesTable, Tables } from './tables.ts';

/** An uploaded line in the project's grid. */
export interface ProjectLine {
  id: string;
  kind: LineKind;
  name: string;
  /** Street that the line belongs to, as the register writes it; null where the file does not say. */
  street: string | null;
  positions: GridPosition[];
  version: number;
}

interface ProjectKey {
  agencyId: string;
  projectId: string;
}

/** Lines of a project in the order of their ids, of the given kinds or all. */
export async function listLines(
  db: Kysely<Tables>,
  { agencyId, projectId }: ProjectKey,
  kinds?: readonly LineKind[],
): Promise<ProjectLine[]> {
  let query = db
    .selectFrom('lines')
    .selectAll()
    .where('agency_id', '=', agencyId)
    .where('project_id', '=', projectId);
  if (kinds) query = query.where('kind', 'in', [...kinds]);
  return (await query.orderBy('line_id').execute()).map(toLine);
}

export async function findLine(
  db: Kysely<Tables>,
  { agencyId, projectId }: ProjectKey,
  lineId: string,
): Promise<ProjectLine | null> {
  const row = await db
    .selectFrom('lines')
    .selectAll()
    .where('agency_id', '=', agencyId)
    .where('project_id', '=', projectId)
    .where('line_id', '=', lineId)
    .executeTakeFirst();
  return row ? toLine(row) : null;
}

/** Adds lines; one whose id the project has already takes the place of the old one. */
export async function upsertLines(
  db: Kysely<Tables>,
  { agencyId, projectId }: ProjectKey,
  lines: readonly Omit<ProjectLine, 'version'>[],
  importBatchId: string | null = null,
): Promise<void> {
  for (const chunk of inChunks(lines)) {
    const rows = chunk.map(({ id, kind, name, street, positions }) => ({
      agency_id: agencyId,
      project_id: projectId,
      line_id: id,
      kind,
      name,
      street,
      positions,
      import_batch_id: importBatchId,
    }));
    await db
      .insertInto('lines')
      .values(rows)
      .onConflict((conflict) =>
        conflict.columns(['agency_id', 'project_id', 'line_id']).doUpdateSet((eb) => ({
          kind: eb.ref('excluded.kind'),
          name: eb.ref('excluded.name'),
          street: eb.ref('excluded.street'),
          positions: eb.ref('excluded.positions'),
          import_batch_id: eb.ref('excluded.import_batch_id'),
          version: sql<number>`lines.version + 1`,
        })),
      )
      .execute();
  }
}

/** false where the line is no longer at `version`. */
export async function updateLine(
  db: Kysely<Tables>,
  { agencyId, projectId }: ProjectKey,
  before: ProjectLine,
  change: { kind?: LineKind; name?: string; street?: string | null },
): Promise<boolean> {
  const result = await db
    .updateTable('lines')
    .set({ ...change, version: before.version + 1 })
    .where('agency_id', '=', agencyId)
    .where('project_id', '=', projectId)
    .where('line_id', '=', before.id)
    .where('version', '=', before.version)
    .executeTakeFirst();
  return result.numUpdatedRows > 0n;
}

/** false where the line is no longer at the version of `before`. */
export async function deleteLine(
  db: Kysely<Tables>,
  key: ProjectKey,
  before: Pick<ProjectLine, 'id' | 'version'>,
): Promise<boolean> {
  const result = await db
    .deleteFrom('lines')
    .where('agency_id', '=', key.agencyId)
    .where('project_id', '=', key.projectId)
    .where('line_id', '=', before.id)
    .where('version', '=', before.version)
    .executeTakeFirst();
  if (result.numDeletedRows === 0n) return false;
  await noteDeleted(db, key, { kind: 'line', key: before.id });
  return true;
}

function toLine(row: Selectable<LinesTable>): ProjectLine {
  const { line_id: id, kind, name, street, positions, version } = row;
  return { id, kind, name, street, positions, version };
}
