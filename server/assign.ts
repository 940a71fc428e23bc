import type { Kysely } from 'kysely';
import { makeProjection } from '#core/crs/crs.ts';
import type { AssignBody, AssignResult, AssignUndo } from '#shared/assignment.ts';
import { readArea } from './area.ts';
import { readSelectionFilter } from './cover-list.ts';
import { badField, HttpProblem, notFound } from './http-problem.ts';
import { makeStreetPlacer } from './place-on-street.ts';
import {
  assign,
  assignedIn,
  countAssignment,
  findChangedSince,
  listOutside,
  listPicked,
  lockAssignment,
  type Picked,
  pickCovers,
  pickIds,
  pickStructures,
  undoAssignment,
} from './store/assignments.ts';
import { cellOf } from './store/cell.ts';
import { upsertCovers } from './store/covers.ts';
import type { Database } from './store/database.ts';
import { setSent } from './store/field/covers.ts';
import { notifyProject } from './store/notices.ts';
import { touchProjectInputs } from './store/plan/changes.ts';
import { lockProject } from './store/plans.ts';
import { crsOf, type ProjectHead } from './store/projects.ts';
import { listStreets } from './store/streets.ts';
import type { Tables } from './store/tables.ts';
import { applyStructureChanges } from './store/tiles/changes.ts';

/** Ids that an answer names. */
const mostNamed = 100;
const mostRefused = 500;

/** Gives a selection of covers their project, crew and night, or only counts what that would do. */
export async function assignCovers(
  { kysely }: Database,
  project: ProjectHead,
  body: AssignBody,
): Promise<AssignResult> {
  const { crew, night, from = 'project', preview = false } = body;
  if (crew === undefined && night === undefined && from === 'project')
    throw badField('/crew', 'is missing, and so is night: nothing is given to the covers');
  const key = { agencyId: project.agencyId, projectId: project.id };
  const picked = readSelection(project, body);
  return kysely.transaction().execute(async (db) => {
    if (!preview) await lockProject(db, key);
    const counts = await countAssignment(db, key, picked, { crew, night });
    const missing = await findMissing(db, body, picked);
    const result = {
      matched: counts.matched,
      changed: counts.changed,
      joined: counts.outside,
      same: counts.same,
      missing: missing.slice(0, mostNamed),
      missingCount: missing.length,
      assignmentId: null,
    };
    if (preview || counts.changed + counts.outside === 0) return result;
    const joined = await joinProject(db, project, picked);
    const { assignmentId } = await assign(db, key, { picked, assigned: { crew, night }, joined });
    const sent = await setSent(db, key, assignedIn(key, assignmentId));
    await notifyProject(db, key.agencyId, key.projectId);
    await applyStructureChanges(db, key.agencyId, [...joined, ...sent]);
    return { ...result, assignmentId };
  });
}

/** Filters that ask for what structures have as covers of a project alone. */
const ofCovers = [
  'status',
  'crew',
  'night',
  'netBuildupFromM',
  'netBuildupBelowM',
  'worstFromM',
  'worstBelowM',
] as const;

function readSelection(project: ProjectHead, { selection, from = 'project' }: AssignBody): Picked {
  const key = { agencyId: project.agencyId, projectId: project.id };
  const { ids, polygon, filter } = selection;
  if ([ids, polygon, filter].filter((each) => each !== undefined).length !== 1)
    throw badField('/selection', 'must be one of ids, polygon and filter');
  if (ids) return pickIds(key, ids, from);
  const conditions = polygon
    ? { area: readArea(polygon, '/selection/polygon') }
    : readSelectionFilter(filter!, '/selection/filter');
  if (from === 'project') return pickCovers(key, conditions);
  for (const field of ofCovers) {
    if (filter?.[field] !== undefined)
      throw badField(`/selection/filter/${field}`, 'is known of covers of a project only');
  }
  return pickStructures(project.agencyId, conditions);
}

async function findMissing(db: Kysely<Tables>, { selection }: AssignBody, picked: Picked): Promise<string[]> {
  if (!selection.ids) return [];
  const there = await listPicked(db, picked);
  return [...new Set(selection.ids)].filter((id) => !there.has(id));
}

/** Makes the structures of the selection covers of the project that are none yet; gives their ids. */
async function joinProject(db: Kysely<Tables>, project: ProjectHead, picked: Picked): Promise<string[]> {
  const key = { agencyId: project.agencyId, projectId: project.id };
  const outside = await listOutside(db, key, picked);
  if (outside.length === 0) return [];
  const projection = makeProjection(crsOf(project.crs));
  const place = makeStreetPlacer(await listStreets(db, project.agencyId), projection);
  const places = outside.map(({ id, street, lon, lat }) => {
    const [eastM, northM] = projection.fromLonLat(lon, lat);
    if (!Number.isFinite(eastM) || !Number.isFinite(northM))
      throw badField('/selection', `"${id}" cannot be shown in ${project.crs}, the project's system`);
    return place({ id, street, eastM, northM });
  });
  await upsertCovers(db, key, places);
  const cells = places.map(({ eastingM, northingM }) => cellOf(eastingM, northingM));
  await touchProjectInputs(db, key, { near: cells });
  return outside.map(({ id }) => id);
}

/** Takes an assignment back, row by row: one that was changed since stays as it is and is named with why. */
export async function undoAssign(
  { kysely }: Database,
  project: ProjectHead,
  assignmentId: string,
): Promise<AssignUndo> {
  const key = { agencyId: project.agencyId, projectId: project.id };
  return kysely.transaction().execute(async (db) => {
    await lockProject(db, key);
    const record = await lockAssignment(db, key, assignmentId);
    if (!record) throw notFound(`assignment ${assignmentId} in project "${project.id}"`);
    if (record.isUndone) throw new HttpProblem(409, 'This assignment was undone already.');
    const refused = await findChangedSince(db, key, assignmentId);
    const left = refused.map(({ id }) => id);
    const { restored, removed } = await undoAssignment(db, key, { assignmentId, left });
    if (removed.length > 0) await touchProjectInputs(db, key);
    await notifyProject(db, key.agencyId, key.projectId);
    const sent = await setSent(db, key, assignedIn(key, assignmentId));
    await applyStructureChanges(db, key.agencyId, [...removed, ...sent]);
    return {
      restored,
      removed: removed.length,
      refused: refused.slice(0, mostRefused),
      refusedCount: refused.length,
    };
  });
}
