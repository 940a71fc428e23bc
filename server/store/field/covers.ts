import { type Kysely, type RawBuilder, sql } from 'kysely';
import type { FieldStatus } from '#shared/status.ts';
import type { Tables } from '../tables.ts';

interface ProjectKey {
  agencyId: string;
  projectId: string;
}

/** What the records of a cover make of it. */
export interface CoverState {
  structureId: string;
  fieldStatus: FieldStatus | null;
  /** Of its latest record. */
  seq: number | null;
  isConflict: boolean;
  plate: string | null;
  platedAt: Date | null;
}

export async function setCoverStates(
  db: Kysely<Tables>,
  { agencyId, projectId }: ProjectKey,
  states: readonly CoverState[],
): Promise<void> {
  for (const state of states) {
    await db
      .updateTable('project_covers')
      .set({
        field_status: state.fieldStatus,
        field_seq: state.seq,
        field_conflict: state.isConflict,
        plate: state.plate,
        plated_at: state.platedAt,
      })
      .where('agency_id', '=', agencyId)
      .where('project_id', '=', projectId)
      .where('structure_id', '=', state.structureId)
      .execute();
  }
}

/** Covers whose status rests on how a checked rim was judged. */
export async function findJudgedIds(
  db: Kysely<Tables>,
  { agencyId, projectId }: ProjectKey,
): Promise<string[]> {
  const rows = await db
    .selectFrom('project_covers')
    .select('structure_id')
    .where('agency_id', '=', agencyId)
    .where('project_id', '=', projectId)
    .where('field_status', 'in', ['set', 'offGrade'])
    .orderBy('structure_id')
    .execute();
  return rows.map((row) => row.structure_id);
}

/** Plans that send a crew out. */
export const sendsOut: readonly string[] = ['raise', 'lower', 'rebuild'];
const sentOut = sql.join(sendsOut.map((status) => sql.lit(status)));

/**
 * After covers got or lost their night: those with a plan that a crew works by are `planned`, and are so no longer where
 * nothing was recorded yet. `covers`: a select of `structure_id`. Gives those that changed.
 */
export async function setSent(
  db: Kysely<Tables>,
  { agencyId, projectId }: ProjectKey,
  covers: RawBuilder<{ structure_id: string }>,
): Promise<string[]> {
  const { rows } = await sql<{ id: string }>`
    update project_covers as cover
    set field_status = case when night is not null and status in (${sentOut}) then 'planned' end
    where agency_id = ${agencyId} and project_id = ${projectId} and structure_id in (${covers})
      and coalesce(field_status, 'planned') = 'planned'
      and (field_status is not null) <> (night is not null and coalesce(status in (${sentOut}), false))
    returning structure_id as id`.execute(db);
  return rows.map(({ id }) => id);
}

export interface PlateRow {
  structureId: string;
  street: string | null;
  stationM: number | null;
  crew: string | null;
  night: string | null;
  plate: string;
  platedAt: Date;
}

/** Covers under a plate that was not reopened, the longest first. */
export async function listPlated(
  db: Kysely<Tables>,
  { agencyId, projectId }: ProjectKey,
): Promise<PlateRow[]> {
  const { rows } = await sql<PlateRow>`
    select cover.structure_id as "structureId", structure.street, cover.station_m as "stationM", cover.crew, cover.night,
      cover.plate, cover.plated_at as "platedAt"
    from project_covers as cover
    join structures as structure
      on structure.agency_id = cover.agency_id and structure.structure_id = cover.structure_id
    where cover.agency_id = ${agencyId} and cover.project_id = ${projectId} and cover.plate is not null
    order by cover.plated_at, cover.structure_id`.execute(db);
  return rows;
}
