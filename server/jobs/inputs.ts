import { createHash } from 'node:crypto';
import { createRequire } from 'node:module';
import type { Kysely } from 'kysely';
import { isTreated } from '#core/plan/planInProject.ts';
import type { Policy } from '#core/plan/policy.ts';
import type { Cover } from '#core/plan/types.ts';
import type { RingCatalogue } from '#core/stack/types.ts';
import type { LinePiece } from '#core/surface/breakLines.ts';
import { cutLine } from '#core/surface/uploadedLines.ts';
import type { ProjectTreatment } from '#core/treatment/zones.ts';
import type { RingCatalogue as SharedCatalogue } from '#shared/ring-catalogue.ts';
import { bearingOf, type CoverBearing, loadBearings } from '../bearings.ts';
import { toPolicy } from '../limits.ts';
import { loadCovers, type ProjectCover } from '../store/covers.ts';
import { loadFaces } from '../store/faces.ts';
import { listLines } from '../store/lines.ts';
import { findProjectHead } from '../store/projects.ts';
import { findRingCatalogue } from '../store/ring-catalogues.ts';
import { listSurfaces, loadShots } from '../store/surfaces.ts';
import type { Tables } from '../store/tables.ts';
import { listZones } from '../store/treatment-zones.ts';
import { toProjectTreatment } from '../treatment.ts';
import { faceInput, groupSurveys, type SurfaceInput, surfaceWarnings, useOf } from './surfaces.ts';

/** All that a plan of a project is made from. */
export interface PlanInputs {
  inputRevision: number;
  covers: Cover[];
  surfaces: SurfaceInput[];
  /** Drawn crown and gutter lines. */
  breakLines: LinePiece[];
  policy: Policy;
  treatment: ProjectTreatment;
  catalogue: RingCatalogue | null;
  warnings: string[];
  hash: string;
}

/** A plan made by another version may differ on the same inputs. */
const { version } = createRequire(import.meta.url)('../../package.json') as { version: string };

/** null where the project is gone. Read it in one transaction, so that all of it is of one moment. */
export async function loadPlanInputs(
  db: Kysely<Tables>,
  agencyId: string,
  projectId: string,
): Promise<PlanInputs | null> {
  const project = await findProjectHead(db, agencyId, projectId);
  if (!project) return null;
  const key = { agencyId, projectId };
  const policy = toPolicy(project.limits);
  const treatment = toProjectTreatment(project, await listZones(db, key));
  const rule = { finishedFrom: policy.finishedFrom, treated: isTreated(treatment) };
  const { surfaces, warnings } = await loadSurfaces(db, key, rule);
  const bearings = await loadBearings(db, key, policy.centreLineLimit);
  const covers = (await loadCovers(db, key)).map((cover) => toCover(cover, bearings));
  const catalogue = project.ringCatalogueId
    ? await findRingCatalogue(db, agencyId, project.ringCatalogueId)
    : null;
  const inputs = {
    inputRevision: project.inputRevision,
    covers,
    surfaces,
    breakLines: await loadBreakLines(db, key),
    policy,
    treatment,
    catalogue: catalogue && toCatalogue(catalogue),
    warnings,
  };
  return { ...inputs, hash: hashOf(inputs) };
}

async function loadSurfaces(
  db: Kysely<Tables>,
  key: { agencyId: string; projectId: string },
  rule: Parameters<typeof surfaceWarnings>[1],
): Promise<{ surfaces: SurfaceInput[]; warnings: string[] }> {
  const listed = await listSurfaces(db, key.agencyId, key.projectId);
  const idle = new Set(listed.filter((each) => useOf(each, rule) === 'none').map(({ id }) => id));
  // Shots on rims say where the rims are, whatever surface is planned from.
  const shots = await loadShots(db, key.agencyId, key.projectId);
  const surfaces = groupSurveys(
    listed,
    shots.filter(({ surface, role }) => role === 'rim' || !idle.has(surface)),
  );
  for (const surface of listed) {
    if (surface.form !== 'faces' || surface.faceCount === 0 || idle.has(surface.id)) continue;
    surfaces.push(faceInput(surface, await loadFaces(db, { ...key, surfaceId: surface.id })));
  }
  return { surfaces, warnings: surfaceWarnings(listed, rule) };
}

async function loadBreakLines(
  db: Kysely<Tables>,
  key: { agencyId: string; projectId: string },
): Promise<LinePiece[]> {
  const lines = await listLines(db, key, ['crown', 'gutter']);
  return lines.flatMap(({ kind, positions }) =>
    cutLine({ kind: kind as 'crown' | 'gutter', corners: positions.map(([east, north]) => [east, north]) }),
  );
}

function hashOf({ covers, surfaces, breakLines, ...rest }: Omit<PlanInputs, 'hash'>): string {
  const { policy, treatment, catalogue } = rest;
  const hash = createHash('sha256').update(
    JSON.stringify({ version, policy, treatment, catalogue, breakLines }),
  );
  for (const cover of covers) hash.update(JSON.stringify(cover));
  for (const { content, ...surface } of surfaces) {
    hash.update(JSON.stringify(surface));
    if (content.form === 'faces') hash.update(content.faces.points).update(content.faces.faces);
    else for (const shot of content.shots) hash.update(JSON.stringify(shot));
  }
  return hash.digest('hex');
}

function toCover(cover: ProjectCover, bearings: CoverBearing): Cover {
  const { structure, eastingM, northingM } = cover;
  const bearing = bearingOf(cover, bearings);
  return {
    id: structure.id,
    kind: structure.kind,
    east: eastingM,
    north: northingM,
    seatElevation: structure.seatElevationM,
    seatGradient: [structure.seatGradientEast, structure.seatGradientNorth],
    rimElevation: structure.rimElevationM,
    frameHeight: structure.frameHeightM,
    rimRadius: structure.rimDiameterM / 2,
    roadBearing: bearing === null ? null : (bearing * Math.PI) / 180,
    setDown: structure.setDownM,
    adjustment: structure.adjustment,
    condition: structure.condition,
  };
}

export function toCatalogue(catalogue: SharedCatalogue): RingCatalogue {
  const { baseM: base, betweenM: between, topM: top } = catalogue.joint;
  return {
    unit: catalogue.unit,
    rings: catalogue.rings.map((ring) => ({
      id: ring.id,
      thin: ring.thinM,
      thick: ring.thickM,
      outerDiameter: ring.outerDiameterM,
      maxPerStack: ring.maxPerStack,
      cost: ring.cost,
    })),
    indexPositions: catalogue.indexPositions,
    indexFrom: catalogue.indexFrom,
    maxRings: catalogue.maxRings,
    maxChimney: catalogue.maxChimneyM,
    joint: { base, between, top },
  };
}
