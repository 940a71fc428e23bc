import { type Kysely, type Selectable, sql } from 'kysely';
import type { CrsDefinition } from '#core/crs/crs.ts';
import type { Project, ProjectCreate, ProjectPatch } from '#shared/project.ts';
import { entersPlan } from '../acceptance-limits.ts';
import { findCrs } from '../crs/epsg.ts';
import { limitsInForce, mergePolicy } from '../limits.ts';
import { findAgency } from './agencies.ts';
import { findLatestJob } from './jobs.ts';
import { findRingCatalogue } from './ring-catalogues.ts';
import type { ProjectsTable, Tables } from './tables.ts';
import { countStatuses, findProjectBounds } from './tiles/summary.ts';

/** Without those that are being deleted. */
export async function listProjects(db: Kysely<Tables>, agencyId: string): Promise<Project[]> {
  const rows = await db
    .selectFrom('projects')
    .selectAll()
    .where('agency_id', '=', agencyId)
    .where('deleting_since', 'is', null)
    .orderBy('project_id')
    .execute();
  return Promise.all(rows.map((row) => toProject(db, row)));
}

export async function findProject(
  db: Kysely<Tables>,
  agencyId: string,
  projectId: string,
): Promise<Project | null> {
  const row = await findRow(db, agencyId, projectId);
  return row ? toProject(db, row) : null;
}

/** Ids of an agency's projects. */
export async function listProjectIds(db: Kysely<Tables>, agencyId: string): Promise<string[]> {
  const rows = await db
    .selectFrom('projects')
    .select('project_id')
    .where('agency_id', '=', agencyId)
    .orderBy('project_id')
    .execute();
  return rows.map((row) => row.project_id);
}

/** What a project is set to, without what has to be counted over its covers. */
export type ProjectHead = Omit<Project, 'boundsLonLat' | 'coverCount' | 'statusCounts' | 'latestJob'>;

export async function findProjectHead(
  db: Kysely<Tables>,
  agencyId: string,
  projectId: string,
): Promise<ProjectHead | null> {
  const row = await findRow(db, agencyId, projectId);
  return row ? toHead(db, row) : null;
}

function findRow(
  db: Kysely<Tables>,
  agencyId: string,
  projectId: string,
): Promise<Selectable<ProjectsTable> | undefined> {
  return db
    .selectFrom('projects')
    .selectAll()
    .where('agency_id', '=', agencyId)
    .where('project_id', '=', projectId)
    .executeTakeFirst();
}

/** false where the agency has a project of that id already. */
export async function insertProject(
  db: Kysely<Tables>,
  agencyId: string,
  project: ProjectCreate,
): Promise<boolean> {
  const inserted = await db
    .insertInto('projects')
    .values({
      agency_id: agencyId,
      project_id: project.id,
      name: project.name,
      crs: project.crs,
      elevation_unit: project.elevationUnit,
      display_unit: project.displayUnit,
      policy: mergePolicy({}, project.policy ?? {}),
      mill_depth_m: project.treatment?.millDepthM,
      mill_clearance_m: project.treatment?.millClearanceM,
      max_riser_m: project.treatment?.maxRiserM,
      lifts_m: project.treatment?.liftsM ?? null,
      set_down_m: project.treatment?.setDownM ?? null,
      ring_catalogue_id: project.ringCatalogueId ?? null,
    })
    .onConflict((conflict) => conflict.columns(['agency_id', 'project_id']).doNothing())
    .executeTakeFirst();
  return (inserted.numInsertedOrUpdatedRows ?? 0n) > 0n;
}

/** false where the project is no longer at `version`. */
export async function updateProject(
  db: Kysely<Tables>,
  before: ProjectHead,
  patch: ProjectPatch,
): Promise<boolean> {
  const { treatment } = patch;
  const result = await db
    .updateTable('projects')
    .set({
      ...(patch.name === undefined ? {} : { name: patch.name }),
      ...(patch.displayUnit === undefined ? {} : { display_unit: patch.displayUnit }),
      ...(patch.policy === undefined ? {} : { policy: mergePolicy(before.policy, patch.policy) }),
      ...(patch.ringCatalogueId === undefined ? {} : { ring_catalogue_id: patch.ringCatalogueId }),
      ...(treatment === undefined
        ? {}
        : {
            mill_depth_m: treatment.millDepthM,
            mill_clearance_m: treatment.millClearanceM,
            max_riser_m: treatment.maxRiserM,
            lifts_m: treatment.liftsM ?? null,
            set_down_m: treatment.setDownM ?? null,
          }),
      version: sql`version + 1`,
      ...(isPlanned(patch) ? { input_revision: sql`input_revision + 1` } : {}),
    })
    .where('agency_id', '=', before.agencyId)
    .where('project_id', '=', before.id)
    .where('version', '=', before.version)
    .executeTakeFirst();
  return result.numUpdatedRows > 0n;
}

/** Whether a plan would ask for anything that a change names; what a change does not name stays. */
function isPlanned({ name: _name, policy, ...rest }: ProjectPatch): boolean {
  return Object.keys(rest).length > 0 || (policy !== undefined && entersPlan(policy));
}

const definitions = new Map<string, CrsDefinition>();

/** Throws for a code that the register does not have: a project is only ever stored with one that it has. */
export function crsOf(code: string): CrsDefinition {
  const known = definitions.get(code);
  if (known) return known;
  const found = findCrs(code);
  if ('message' in found) throw new Error(`Stored CRS ${code}: ${found.message}`);
  definitions.set(code, found);
  return found;
}

async function toProject(db: Kysely<Tables>, row: Selectable<ProjectsTable>): Promise<Project> {
  const { agency_id: agencyId, project_id: id } = row;
  const [head, statusCounts, boundsLonLat, latestJob] = await Promise.all([
    toHead(db, row),
    countStatuses(db, { agencyId, projectId: id }),
    findProjectBounds(db, { agencyId, projectId: id }),
    findLatestJob(db, { agencyId, projectId: id }, row.deleting_since ? 'deletion' : 'plan'),
  ]);
  const coverCount = Object.values(statusCounts).reduce((sum, count) => sum + count, 0);
  return { ...head, boundsLonLat, coverCount, statusCounts, latestJob };
}

async function toHead(db: Kysely<Tables>, row: Selectable<ProjectsTable>): Promise<ProjectHead> {
  const { agency_id: agencyId, policy, ring_catalogue_id: ringCatalogueId } = row;
  const [agency, catalogue] = await Promise.all([
    findAgency(db, agencyId),
    ringCatalogueId ? findRingCatalogue(db, agencyId, ringCatalogueId) : null,
  ]);
  const crs = crsOf(row.crs);
  const displayUnit = row.display_unit;
  return {
    id: row.project_id,
    agencyId,
    name: row.name,
    crs: row.crs,
    crsName: crs.name,
    metresPerUnit: crs.metresPerUnit,
    elevationUnit: row.elevation_unit,
    displayUnit,
    limits: limitsInForce({ displayUnit, agency: agency?.policy ?? {}, project: policy, catalogue }),
    policy,
    treatment: {
      millDepthM: row.mill_depth_m,
      millClearanceM: row.mill_clearance_m,
      maxRiserM: row.max_riser_m,
      liftsM: row.lifts_m,
      setDownM: row.set_down_m,
    },
    ringCatalogueId,
    planRevision: row.plan_revision,
    inputRevision: row.input_revision,
    planStale: row.plan_revision > 0 && row.planned_input_revision < row.input_revision,
    createdAt: row.created_at.toISOString(),
    isBeingDeleted: row.deleting_since !== null,
    version: row.version,
  };
}
