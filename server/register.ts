import { isDeepStrictEqual } from 'node:util';
import type { Kysely } from 'kysely';
import { makeProjection } from '#core/crs/crs.ts';
import type { RimRecord, RimRecordCreate } from '#shared/rim-record.ts';
import type { Structure, StructureCreate, StructurePatch } from '#shared/structure.ts';
import { findCrs } from './crs/epsg.ts';
import { badField } from './http-problem.ts';
import { makeStreetPlacer } from './place-on-street.ts';
import { cellOf } from './store/cell.ts';
import { listCellsOf, upsertCovers } from './store/covers.ts';
import type { Database } from './store/database.ts';
import { notifyProject } from './store/notices.ts';
import { touchProjectInputs } from './store/plan/changes.ts';
import { crsOf, type ProjectHead } from './store/projects.ts';
import {
  findAcceptedRims,
  insertLevelledRim,
  type LevelledRim,
  latestRimDate,
  listRimRecords,
  recordRims,
  withdrawAcceptedRims,
  withdrawEditedRim,
} from './store/rim-records.ts';
import { listStreets } from './store/streets.ts';
import {
  changesBetween,
  findEdit,
  findStructure,
  insertEvents,
  insertStructures,
  lockStructures,
  type NewStructure,
  updateStructure,
} from './store/structures.ts';
import type { Tables } from './store/tables.ts';
import { applyStructureChanges } from './store/tiles/changes.ts';

const unknownCondition = { located: null, chimneyUnsound: null, frameUnsound: null };

/** Puts one structure in the register and, where a project is given, among its covers; null where the id is taken. */
export async function createStructure(
  { kysely }: Database,
  agencyId: string,
  given: StructureCreate,
  project: ProjectHead | null,
): Promise<Structure | null> {
  const structure = withDefaults(given, placeFor(given, project));
  return kysely.transaction().execute(async (db) => {
    const inserted = await insertStructures(db, agencyId, [structure], null);
    if (inserted.length === 0) return null;
    await insertEvents(db, agencyId, [{ structureId: structure.id, kind: 'created', detail: {} }]);
    await recordRims(db, agencyId, [structure.id], { source: 'edit' });
    if (project) {
      const projection = makeProjection(crsOf(project.crs));
      const place = makeStreetPlacer(await listStreets(db, agencyId), projection);
      const [eastM, northM] = projection.fromLonLat(structure.lon, structure.lat);
      const { id, street } = structure;
      await upsertCovers(db, { agencyId, projectId: project.id }, [place({ id, street, eastM, northM })]);
      await touchProjectInputs(db, { agencyId, projectId: project.id }, { near: [cellOf(eastM, northM)] });
      await notifyProject(db, agencyId, project.id);
    }
    await applyStructureChanges(db, agencyId, [structure.id]);
    return findStructure(db, agencyId, structure.id);
  });
}

/** Changes a structure and notes what was there before; null where somebody else changed it first. */
export async function changeStructure(
  { kysely }: Database,
  agencyId: string,
  before: Structure,
  patch: StructurePatch,
): Promise<Structure | null> {
  checkBearing(patch.roadBearingDeg);
  const after = { ...before, ...patch };
  const changes = changesBetween(before, after);
  if (Object.keys(changes).length === 0) return before;
  return kysely.transaction().execute(async (db) => {
    if (!(await writeChange(db, agencyId, { before, after, detail: changes }))) return null;
    if (movesRim(changes)) await recordRims(db, agencyId, [before.id], { source: 'edit' });
    await showChange(db, agencyId, before.id);
    return findStructure(db, agencyId, before.id);
  });
}

const movesRim = (changes: object): boolean =>
  ['rimElevationM', 'seatElevationM', 'frameHeightM'].some((field) => field in changes);

/** The change of one structure and its line in the history; false where somebody else changed it first. */
async function writeChange(
  db: Kysely<Tables>,
  agencyId: string,
  { before, after, detail }: { before: Structure; after: NewStructure; detail: Record<string, unknown> },
): Promise<boolean> {
  if (!(await updateStructure(db, agencyId, after, before.version))) return false;
  await insertEvents(db, agencyId, [{ structureId: before.id, kind: 'changed', detail }]);
  return true;
}

/** Tells the plans and the tiles of a structure that was changed; last in its transaction. */
async function showChange(db: Kysely<Tables>, agencyId: string, id: string): Promise<void> {
  await touchPlansOf(db, agencyId, id);
  await applyStructureChanges(db, agencyId, [id]);
}

/** `butNot`: the project whose plan the change came from. */
async function touchPlansOf(
  db: Kysely<Tables>,
  agencyId: string,
  id: string,
  butNot: string | null = null,
): Promise<void> {
  for (const { projectId, cell } of await listCellsOf(db, agencyId, id)) {
    if (projectId === butNot) continue;
    await touchProjectInputs(db, { agencyId, projectId }, { near: [cell] });
    await notifyProject(db, agencyId, projectId);
  }
}

/**
 * Adds a levelled rim to a structure's history; the register's own rim follows where no record is of a later day. null
 * where there is no such structure.
 */
export async function levelRim(
  { kysely }: Database,
  agencyId: string,
  id: string,
  { date, rimElevationM, pavementElevationM = null, who = null, note = null }: RimRecordCreate,
): Promise<RimRecord | null> {
  return kysely.transaction().execute(async (db) => {
    const levelled = { date, rimElevationM, pavementElevationM, who, note };
    const recordId = await levelRimWithin(db, agencyId, id, levelled);
    if (recordId === null) return null;
    await applyStructureChanges(db, agencyId, [id]);
    const records = await listRimRecords(db, agencyId, id);
    return records.find((record) => record.id === recordId)!;
  });
}

/**
 * The same within a transaction, which shows the structure in the tiles afterwards; gives the record's id. `builtIn`: the
 * project that built the rim: it does not plan anew because of what it built itself.
 */
export async function levelRimWithin(
  db: Kysely<Tables>,
  agencyId: string,
  id: string,
  { builtIn = null, ...levelled }: LevelledRim & { builtIn?: string | null },
): Promise<number | null> {
  const { date, rimElevationM } = levelled;
  const before = (await lockStructures(db, agencyId, [id])).get(id);
  if (!before) return null;
  const latest = await latestRimDate(db, agencyId, id);
  const recordId = await insertLevelledRim(db, agencyId, id, levelled);
  if ((latest === null || latest <= date) && before.rimElevationM !== rimElevationM) {
    const detail = { rimElevationM: [before.rimElevationM, rimElevationM], levelled: date };
    await writeChange(db, agencyId, { before, after: { ...before, rimElevationM }, detail });
    await touchPlansOf(db, agencyId, id, builtIn);
  }
  return recordId;
}

/**
 * Takes back the rims of acceptances that no longer hold, within a transaction. The register goes back to the latest rim
 * that stands where it still carries one of theirs; what somebody made of it since stays.
 */
export async function takeRimsBack(
  db: Kysely<Tables>,
  agencyId: string,
  id: string,
  { recordIds, builtIn }: { recordIds: readonly string[]; builtIn: string },
): Promise<void> {
  const rims = (await findAcceptedRims(db, agencyId, id)).filter(({ recordId }) =>
    recordIds.includes(recordId),
  );
  const before = rims.length > 0 ? (await lockStructures(db, agencyId, [id])).get(id) : undefined;
  if (!before) return;
  await withdrawAcceptedRims(db, agencyId, id, recordIds);
  if (!rims.some(({ rimElevationM }) => rimElevationM === before.rimElevationM)) return;
  const rimElevationM = (await listRimRecords(db, agencyId, id)).at(-1)?.rimElevationM ?? null;
  if (rimElevationM === before.rimElevationM) return;
  const detail = { rimElevationM: [before.rimElevationM, rimElevationM], undoes: recordIds[0] };
  await writeChange(db, agencyId, { before, after: { ...before, rimElevationM }, detail });
  await touchPlansOf(db, agencyId, id, builtIn);
}

/** What stands in the way of an undo: each field that is not what the change made it. */
export type EditUndo =
  | { outcome: 'undone'; structure: Structure }
  | { outcome: 'noEdit' }
  | { outcome: 'changedSince'; fields: { field: string; made: unknown; is: unknown }[] };

/** Takes one change of a structure back, where every field that it made is still what it made it. */
export async function undoEdit(
  { kysely }: Database,
  agencyId: string,
  { structureId, eventId }: { structureId: string; eventId: number },
): Promise<EditUndo> {
  return kysely.transaction().execute(async (db) => {
    const before = (await lockStructures(db, agencyId, [structureId])).get(structureId);
    const edit = before && (await findEdit(db, agencyId, { structureId, eventId }));
    if (!before || !edit) return { outcome: 'noEdit' };
    const entries = Object.entries(edit) as [keyof StructurePatch, [unknown, unknown]][];
    const fields = entries
      // jsonb keeps the fields of an object in an order of its own.
      .filter(([field, [, made]]) => !isDeepStrictEqual(before[field], made))
      .map(([field, [, made]]) => ({ field, made, is: before[field] }));
    if (fields.length > 0) return { outcome: 'changedSince', fields };
    const after = { ...before, ...Object.fromEntries(entries.map(([field, [was]]) => [field, was])) };
    const detail = { ...changesBetween(before, after), undoes: eventId };
    await writeChange(db, agencyId, { before, after, detail });
    if (movesRim(edit) && before.rimElevationM !== null)
      await withdrawEditedRim(db, agencyId, structureId, {
        rimElevationM: before.rimElevationM,
        ...('seatElevationM' in edit ? { seatElevationM: before.seatElevationM } : {}),
        ...('frameHeightM' in edit ? { frameHeightM: before.frameHeightM } : {}),
      });
    await showChange(db, agencyId, structureId);
    return { outcome: 'undone', structure: (await findStructure(db, agencyId, structureId))! };
  });
}

type Place = Pick<NewStructure, 'crs' | 'eastingM' | 'northingM' | 'lon' | 'lat'>;

/** A place is longitude and latitude, or a grid position with its system; never both, never half of one. */
function placeFor(
  { lon, lat, crs, eastingM, northingM }: StructureCreate,
  project: ProjectHead | null,
): Place {
  const isGrid = crs !== undefined || eastingM !== undefined || northingM !== undefined;
  if (isGrid) {
    if (lon !== undefined || lat !== undefined)
      throw badField('/lon', 'is one place too many beside a grid position');
    if (crs === undefined) throw badField('/crs', 'is missing; a grid position needs its coordinate system');
    if (eastingM === undefined) throw badField('/eastingM', 'is missing');
    if (northingM === undefined) throw badField('/northingM', 'is missing');
    const definition = findCrs(crs);
    if ('message' in definition) throw badField('/crs', definition.message, crs);
    const [gridLon, gridLat] = makeProjection(definition).toLonLat(eastingM, northingM);
    if (!Number.isFinite(gridLon) || !Number.isFinite(gridLat)) {
      throw badField('/eastingM', `is no place of ${crs}`, eastingM);
    }
    return { crs, eastingM, northingM, lon: gridLon, lat: gridLat };
  }
  if (lon === undefined)
    throw badField('/lon', 'is missing; give lon and lat, or crs, eastingM and northingM');
  if (lat === undefined) throw badField('/lat', 'is missing');
  if (!project) throw badField('/crs', 'is missing; without a project a grid position is needed');
  const [east, north] = makeProjection(crsOf(project.crs)).fromLonLat(lon, lat);
  if (!Number.isFinite(east) || !Number.isFinite(north)) {
    throw badField('/lon', `cannot be shown in ${project.crs}, the project's system`, lon);
  }
  return { crs: project.crs, eastingM: east, northingM: north, lon, lat };
}

function withDefaults(given: StructureCreate, place: Place): NewStructure {
  checkBearing(given.roadBearingDeg);
  return {
    ...place,
    id: given.id,
    kind: given.kind,
    owner: given.owner ?? null,
    street: given.street ?? null,
    seatElevationM: given.seatElevationM ?? null,
    seatGradientEast: given.seatGradientEast ?? 0,
    seatGradientNorth: given.seatGradientNorth ?? 0,
    rimElevationM: given.rimElevationM ?? null,
    frameHeightM: given.frameHeightM,
    rimDiameterM: given.rimDiameterM,
    roadBearingDeg: given.roadBearingDeg ?? null,
    setDownM: given.setDownM ?? 0,
    adjustment: given.adjustment ?? 'rings',
    condition: given.condition ?? unknownCondition,
    structureDepthM: given.structureDepthM ?? null,
    structureDiameterM: given.structureDiameterM ?? null,
    accessibleRoute: given.accessibleRoute ?? null,
  };
}

function checkBearing(bearing: number | null | undefined): void {
  if (bearing == null || (bearing >= 0 && bearing <= 360)) return;
  throw badField('/roadBearingDeg', 'must be from 0 to 360', bearing);
}
