import { createHash } from 'node:crypto';
import { createRequire } from 'node:module';
import type { Kysely } from 'kysely';
import type { Policy } from '#core/plan/policy.ts';
import type { Cover, Treatment } from '#core/plan/types.ts';
import type { RingCatalogue } from '#core/stack/types.ts';
import type { Shot } from '#core/surface/types.ts';
import type { RingCatalogue as SharedCatalogue } from '#shared/ring-catalogue.ts';
import { toPolicy } from '../limits.ts';
import { loadCovers, type ProjectCover } from '../store/covers.ts';
import { findProjectHead } from '../store/projects.ts';
import { findRingCatalogue } from '../store/ring-catalogues.ts';
import { listSurfaces, loadShots } from '../store/surfaces.ts';
import type { Tables } from '../store/tables.ts';

/** All that a plan of a project is made from. */
export interface PlanInputs {
  inputRevision: number;
  covers: Cover[];
  shots: Shot[];
  surfaceName: string;
  policy: Policy;
  treatment: Treatment;
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
  const surfaces = await listSurfaces(db, agencyId, projectId);
  const finished = surfaces.filter((surface) => surface.stage === 'finished');
  const names = new Set(finished.map((surface) => surface.id));
  const all = await loadShots(db, agencyId, projectId);
  const covers = (await loadCovers(db, { agencyId, projectId })).map(toCover);
  const catalogue = project.ringCatalogueId
    ? await findRingCatalogue(db, agencyId, project.ringCatalogueId)
    : null;
  const { millDepthM, millClearanceM, maxRiserM } = project.treatment;
  const inputs = {
    inputRevision: project.inputRevision,
    covers,
    shots: all.filter((shot) => names.has(shot.surface)),
    surfaceName: finished.map((surface) => surface.name).join(' + '),
    policy: toPolicy(project.limits),
    treatment: { millDepth: millDepthM, millClearance: millClearanceM, maxRiser: maxRiserM },
    catalogue: catalogue && toCatalogue(catalogue),
    warnings: surfaces
      .filter((surface) => surface.stage !== 'finished' && surface.shotCount > 0)
      .map(
        (surface) => `${surface.name} was shot on the ${surface.stage} surface, so no plan is made from it.`,
      ),
  };
  return { ...inputs, hash: hashOf(inputs) };
}

function hashOf({ covers, shots, ...rest }: Omit<PlanInputs, 'hash'>): string {
  const { policy, treatment, catalogue, surfaceName } = rest;
  const hash = createHash('sha256').update(
    JSON.stringify({ version, policy, treatment, catalogue, surfaceName }),
  );
  for (const cover of covers) hash.update(JSON.stringify(cover));
  for (const shot of shots) hash.update(JSON.stringify(shot));
  return hash.digest('hex');
}

function toCover({ structure, eastingM, northingM, roadBearingDeg }: ProjectCover): Cover {
  const bearing = structure.roadBearingDeg ?? roadBearingDeg;
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
