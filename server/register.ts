import { makeProjection } from '#core/crs/crs.ts';
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
import { listStreets } from './store/streets.ts';
import {
  changesBetween,
  findStructure,
  insertEvents,
  insertStructures,
  type NewStructure,
  updateStructure,
} from './store/structures.ts';
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
    if (project) {
      const projection = makeProjection(crsOf(project.crs));
      const place = makeStreetPlacer(await listStreets(db, agencyId), projection);
      const [eastM, northM] = projection.fromLonLat(structure.lon, structure.lat);
      const { id, street } = structure;
      await upsertCovers(db, { agencyId, projectId: project.id }, [place({ id, street, eastM, northM })]);
      await touchProjectInputs(db, { agencyId, projectId: project.id }, [cellOf(eastM, northM)]);
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
    if (!(await updateStructure(db, agencyId, after, before.version))) return null;
    await insertEvents(db, agencyId, [{ structureId: before.id, kind: 'changed', detail: changes }]);
    for (const { projectId, cell } of await listCellsOf(db, agencyId, before.id)) {
      await touchProjectInputs(db, { agencyId, projectId }, [cell]);
      await notifyProject(db, agencyId, projectId);
    }
    await applyStructureChanges(db, agencyId, [before.id]);
    return findStructure(db, agencyId, before.id);
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
    seatElevationM: given.seatElevationM,
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
  };
}

function checkBearing(bearing: number | null | undefined): void {
  if (bearing == null || (bearing >= 0 && bearing <= 360)) return;
  throw badField('/roadBearingDeg', 'must be from 0 to 360', bearing);
}
