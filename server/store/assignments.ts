import { randomUUID } from 'node:crypto';
import { type Kysely, type RawBuilder, sql } from 'kysely';
import { type CoverConditions, conditionsOf, structureConditionsOf } from './selection.ts';
import type { Tables } from './tables.ts';

interface ProjectKey {
  agencyId: string;
  projectId: string;
}

/** What covers are given; a field that is absent stays as it is. */
export interface Assigned {
  crew?: string | null;
  /** YYYY-MM-DD */
  night?: string | null;
}

/** A select of `structure_id`. */
export type Picked = RawBuilder<{ structure_id: string }>;

export interface AssignmentCounts {
  matched: number;
  /** Covers that get another crew or night. */
  changed: number;
  same: number;
  /** Structures that are no covers of the project yet. */
  outside: number;
}

const differs = ({ crew, night }: Assigned): RawBuilder<boolean> => {
  const parts = [
    ...(crew === undefined ? [] : [sql`cover.crew is distinct from ${crew}::text`]),
    ...(night === undefined ? [] : [sql`cover.night is distinct from ${night}::date`]),
  ];
  return parts.length === 0 ? sql`false` : sql`(${sql.join(parts, sql` or `)})`;
};

const matched = ({ agencyId, projectId }: ProjectKey, picked: Picked) => sql`
  from (${picked}) as picked
  left join project_covers as cover on cover.agency_id = ${agencyId} and cover.project_id = ${projectId}
    and cover.structure_id = picked.structure_id`;

/** Covers of the project that fit. */
export function pickCovers({ agencyId, projectId }: ProjectKey, conditions: CoverConditions): Picked {
  return sql`
    select cover.structure_id from project_covers as cover
    join structures as structure
      on structure.agency_id = cover.agency_id and structure.structure_id = cover.structure_id
    where cover.agency_id = ${agencyId} and cover.project_id = ${projectId} and ${conditionsOf(conditions)}`;
}

/** Structures of the whole register that fit. */
export function pickStructures(agencyId: string, conditions: CoverConditions): Picked {
  return sql`
    select structure.structure_id from structures as structure
    where structure.agency_id = ${agencyId} and ${structureConditionsOf(conditions)}`;
}

/** Structures of the register, or covers of the project, of these ids. */
export function pickIds(
  { agencyId, projectId }: ProjectKey,
  ids: readonly string[],
  from: 'project' | 'register',
): Picked {
  const table = from === 'register' ? sql`structures` : sql`project_covers`;
  const inProject = from === 'register' ? sql`true` : sql`project_id = ${projectId}`;
  return sql`
    select structure_id from ${table}
    where agency_id = ${agencyId} and structure_id = any(${ids as string[]}::text[]) and ${inProject}`;
}

export async function listPicked(db: Kysely<Tables>, picked: Picked): Promise<Set<string>> {
  const { rows } = await picked.execute(db);
  return new Set(rows.map((row) => row.structure_id));
}

/** What an assignment would do. */
export async function countAssignment(
  db: Kysely<Tables>,
  key: ProjectKey,
  picked: Picked,
  assigned: Assigned,
): Promise<AssignmentCounts> {
  const { rows } = await sql<AssignmentCounts>`
    select count(*) as matched, count(*) filter (where cover.structure_id is null) as outside,
      count(*) filter (where cover.structure_id is not null and ${differs(assigned)}) as changed,
      count(*) filter (where cover.structure_id is not null and not ${differs(assigned)}) as same
    ${matched(key, picked)}`.execute(db);
  return rows[0];
}

/** Structures of the select that are no covers of the project, with their places on Earth. */
export async function listOutside(
  db: Kysely<Tables>,
  { agencyId, projectId }: ProjectKey,
  picked: Picked,
): Promise<{ id: string; street: string | null; lon: number; lat: number }[]> {
  const { rows } = await sql<{ id: string; street: string | null; lon: number; lat: number }>`
    select structure.structure_id as id, structure.street, structure.lon, structure.lat
    from (${picked}) as picked
    join structures as structure
      on structure.agency_id = ${agencyId} and structure.structure_id = picked.structure_id
    where not exists (
      select from project_covers as cover where cover.agency_id = ${agencyId} and cover.project_id = ${projectId}
        and cover.structure_id = picked.structure_id)
    order by structure.structure_id`.execute(db);
  return rows;
}

/**
 * Gives covers their crew and night, keeps what each had, and writes it into the history of each. `joined`: those that
 * became covers just now. The caller holds the project's lock. Gives the assignment's id and the covers that changed.
 */
export async function assign(
  db: Kysely<Tables>,
  key: ProjectKey,
  { picked, assigned, joined }: { picked: Picked; assigned: Assigned; joined: readonly string[] },
): Promise<{ assignmentId: string; changed: number }> {
  const { agencyId, projectId } = key;
  const { crew, night } = assigned;
  const id = randomUUID();
  await sql`
    insert into cover_assignments (agency_id, assignment_id, project_id, crew, night, sets_crew, sets_night)
    values (${agencyId}, ${id}, ${projectId}, ${crew ?? null}, ${night ?? null}, ${crew !== undefined},
      ${night !== undefined})`.execute(db);
  await sql`
    insert into cover_assignment_rows (agency_id, assignment_id, structure_id, joined, crew, night)
    select ${agencyId}, ${id}, cover.structure_id, cover.structure_id = any(${joined as string[]}::text[]), cover.crew,
      cover.night
    from project_covers as cover
    where cover.agency_id = ${agencyId} and cover.project_id = ${projectId}
      and cover.structure_id in (${picked})
      and (${differs(assigned)} or cover.structure_id = any(${joined as string[]}::text[]))`.execute(db);
  const { rows } = await sql<{ count: number }>`
    with changed as (
      update project_covers as cover
      set crew = ${crew === undefined ? sql`cover.crew` : crew},
        night = ${night === undefined ? sql`cover.night` : sql`${night}::date`}
      from cover_assignment_rows as row
      where row.agency_id = ${agencyId} and row.assignment_id = ${id} and cover.agency_id = ${agencyId}
        and cover.project_id = ${projectId} and cover.structure_id = row.structure_id
      returning cover.structure_id, row.joined, row.crew as old_crew, row.night as old_night, cover.crew, cover.night
    ), written as (
      insert into structure_events (agency_id, structure_id, kind, detail)
      select ${agencyId}, structure_id, 'changed', jsonb_strip_nulls(jsonb_build_object('project', ${projectId}::text,
        'assignment', ${id}::text, 'joined', nullif(joined, false)))
        || case when crew is distinct from old_crew
          then jsonb_build_object('crew', jsonb_build_array(old_crew, crew)) else '{}' end
        || case when night is distinct from old_night
          then jsonb_build_object('night', jsonb_build_array(old_night, night)) else '{}' end
      from changed order by structure_id
    )
    select count(*) filter (where not joined) as count from changed`.execute(db);
  return { assignmentId: id, changed: rows[0].count };
}

/** Covers that an assignment gave something to. */
export function assignedIn({ agencyId }: ProjectKey, assignmentId: string): Picked {
  return sql`
    select structure_id from cover_assignment_rows
    where agency_id = ${agencyId} and assignment_id = ${assignmentId}::uuid`;
}

export interface AssignmentRecord {
  setsCrew: boolean;
  setsNight: boolean;
  crew: string | null;
  night: string | null;
  isUndone: boolean;
}

/** An assignment of a project, locked until the transaction ends; null where there is none. */
export async function lockAssignment(
  db: Kysely<Tables>,
  { agencyId, projectId }: ProjectKey,
  assignmentId: string,
): Promise<AssignmentRecord | null> {
  const { rows } = await sql<AssignmentRecord>`
    select sets_crew as "setsCrew", sets_night as "setsNight", crew, night, undone_at is not null as "isUndone"
    from cover_assignments
    where agency_id = ${agencyId} and project_id = ${projectId} and assignment_id = ${assignmentId}::uuid
    for update`.execute(db);
  return rows[0] ?? null;
}

/** Rows that were changed since, with why; these are left as they are. */
export async function findChangedSince(
  db: Kysely<Tables>,
  { agencyId, projectId }: ProjectKey,
  assignmentId: string,
): Promise<{ id: string; why: string }[]> {
  const { rows } = await sql<{ id: string; why: string }>`
    select row.structure_id as id, case
      when cover.structure_id is null then 'is no cover of the project any more'
      when made.sets_crew and cover.crew is distinct from made.crew
        then 'crew is ' || coalesce('"' || cover.crew || '"', 'none') || ' now'
      when made.sets_night and cover.night is distinct from made.night
        then 'night is ' || coalesce(cover.night::text, 'none') || ' now'
      else 'is ' || cover.field_status || ' in the field' end as why
    from cover_assignment_rows as row
    join cover_assignments as made on made.agency_id = row.agency_id and made.assignment_id = row.assignment_id
    left join project_covers as cover on cover.agency_id = row.agency_id and cover.project_id = ${projectId}
      and cover.structure_id = row.structure_id
    where row.agency_id = ${agencyId} and row.assignment_id = ${assignmentId}::uuid and (
      cover.structure_id is null or (made.sets_crew and cover.crew is distinct from made.crew)
      or (made.sets_night and cover.night is distinct from made.night)
      or (row.joined and cover.field_status <> 'planned'))
    order by row.structure_id`.execute(db);
  return rows;
}

/** Puts back what covers had, but for those `left`; gives the ones put back and the ones that were covers by it alone. */
export async function undoAssignment(
  db: Kysely<Tables>,
  { agencyId, projectId }: ProjectKey,
  { assignmentId, left }: { assignmentId: string; left: readonly string[] },
): Promise<{ restored: number; removed: string[] }> {
  await sql`
    update cover_assignments set undone_at = now()
    where agency_id = ${agencyId} and assignment_id = ${assignmentId}::uuid`.execute(db);
  const mine = sql`row.agency_id = ${agencyId} and row.assignment_id = ${assignmentId}::uuid
    and cover.agency_id = ${agencyId} and cover.project_id = ${projectId} and cover.structure_id = row.structure_id
    and row.structure_id <> all(${left as string[]}::text[])`;
  const { rows: removed } = await sql<{ id: string }>`
    delete from project_covers as cover using cover_assignment_rows as row where ${mine} and row.joined
    returning cover.structure_id as id`.execute(db);
  const { rows } = await sql<{ count: number }>`
    with restored as (
      update project_covers as cover
      set crew = case when made.sets_crew then row.crew else cover.crew end,
        night = case when made.sets_night then row.night else cover.night end
      from cover_assignment_rows as row, cover_assignments as made, project_covers as was
      where ${mine} and not row.joined and made.agency_id = row.agency_id
        and made.assignment_id = row.assignment_id and was.agency_id = ${agencyId} and was.project_id = ${projectId}
        and was.structure_id = row.structure_id
      returning cover.structure_id, was.crew as old_crew, was.night as old_night, cover.crew, cover.night
    ), written as (
      insert into structure_events (agency_id, structure_id, kind, detail)
      select ${agencyId}, structure_id, 'changed', jsonb_build_object('project', ${projectId}::text,
        'undoesAssignment', ${assignmentId}::text)
        || case when crew is distinct from old_crew
          then jsonb_build_object('crew', jsonb_build_array(old_crew, crew)) else '{}' end
        || case when night is distinct from old_night
          then jsonb_build_object('night', jsonb_build_array(old_night, night)) else '{}' end
      from restored order by structure_id
    )
    select count(*) from restored`.execute(db);
  return { restored: rows[0].count, removed: removed.map(({ id }) => id) };
}
