import { hash } from 'node:crypto';
import { createRequire } from 'node:module';
import type { Kysely } from 'kysely';
import { type BearingAt, makeBearings, type NamedCentreLine } from '#core/alignment/bearing.ts';
import { isTreated } from '#core/plan/planInProject.ts';
import type { Policy } from '#core/plan/policy.ts';
import { makeSolver, type Solver } from '#core/stack/solve.ts';
import type { LinePiece } from '#core/surface/breakLines.ts';
import { cutLine } from '#core/surface/uploadedLines.ts';
import type { ProjectTreatment } from '#core/treatment/zones.ts';
import { catalogueToPlan } from '../../catalogue.ts';
import { toPolicy } from '../../limits.ts';
import { digestFaces } from '../../store/faces.ts';
import { listLines, type ProjectLine } from '../../store/lines.ts';
import { findProjectHead } from '../../store/projects.ts';
import { findRingCatalogue } from '../../store/ring-catalogues.ts';
import { listSurfaceHeads } from '../../store/surfaces.ts';
import type { Tables } from '../../store/tables.ts';
import { listZones } from '../../store/treatment-zones.ts';
import { toProjectTreatment } from '../../treatment.ts';
import { groupSurfaces, type SurfaceGroup, surfaceWarnings } from './surfaces.ts';

/** What the plans of all covers of a project have in common. */
export interface PlanCommon {
  inputRevision: number;
  groups: SurfaceGroup[];
  /** Drawn crown and gutter lines. */
  breakLines: LinePiece[];
  bearingAt: BearingAt;
  policy: Policy;
  treatment: ProjectTreatment;
  /** null while the project has no ring catalogue. */
  solver: Solver | null;
  warnings: string[];
  /** Of all of it, and of the version that plans. */
  hash: string;
}

interface ProjectKey {
  agencyId: string;
  projectId: string;
}

/** A plan made by another version may differ on the same inputs. */
const { version } = createRequire(import.meta.url)('../../../package.json') as { version: string };

/** null where the project is gone. Read in one transaction with covers and shots, so that all of it is of one moment. */
export async function loadPlanCommon(
  db: Kysely<Tables>,
  { agencyId, projectId }: ProjectKey,
): Promise<PlanCommon | null> {
  const project = await findProjectHead(db, agencyId, projectId);
  if (!project) return null;
  const key = { agencyId, projectId };
  const policy = toPolicy(project.limits);
  const treatment = toProjectTreatment(project, await listZones(db, key));
  const rule = { finishedFrom: policy.finishedFrom, treated: isTreated(treatment) };
  const surfaces = await listSurfaceHeads(db, key);
  const groups = groupSurfaces(surfaces, rule);
  const lines = await listLines(db, key, ['crown', 'gutter', 'centre']);
  const centreLines = lines.filter(({ kind }) => kind === 'centre').map(toCentreLine);
  const breakLines = lines.filter(({ kind }) => kind !== 'centre').flatMap(toPieces);
  const { ringCatalogueId } = project;
  const stored = ringCatalogueId ? await findRingCatalogue(db, agencyId, ringCatalogueId) : null;
  const catalogue = stored && catalogueToPlan(stored, project.limits);
  const faces = await digestFaces(db, key);
  const common = { version, policy, treatment, catalogue, breakLines, centreLines, groups, faces };
  return {
    inputRevision: project.inputRevision,
    groups,
    breakLines,
    bearingAt: makeBearings(centreLines, policy.centreLineLimit),
    policy,
    treatment,
    solver: catalogue && makeSolver(catalogue),
    warnings: surfaceWarnings(surfaces, rule),
    hash: hash('sha256', JSON.stringify(common)),
  };
}

const toCentreLine = ({ street, name, positions }: ProjectLine): NamedCentreLine => ({
  street: street ?? name,
  line: positions.map(([east, north]) => [east, north]),
});

const toPieces = ({ kind, positions }: ProjectLine): LinePiece[] =>
  cutLine({ kind: kind as 'crown' | 'gutter', corners: positions.map(([east, north]) => [east, north]) });
