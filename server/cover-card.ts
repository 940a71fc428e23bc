import { makeProjection } from '#core/crs/crs.ts';
import type { CoverCard, PlanVersion } from '#shared/cover.ts';
import type { NewStack } from '#shared/new-stack.ts';
import type { RingCatalogue } from '#shared/ring-catalogue.ts';
import type { HistoryEvent } from '#shared/structure.ts';
import { bearingOf, loadBearings } from './bearings.ts';
import type { AppContext } from './context.ts';
import { toNearShot, toPlan } from './cover-view.ts';
import { findNewStacks } from './field/new-stack.ts';
import type { ProjectCover } from './store/covers.ts';
import { findPlanVersions } from './store/plans.ts';
import { crsOf, type ProjectHead } from './store/projects.ts';
import { findRingCatalogue } from './store/ring-catalogues.ts';
import { findEvents } from './store/structures.ts';
import { findShotsNear, type SurfaceShot } from './store/surfaces.ts';

/** All that is known of covers of a project, in their order. What they share is read once. */
export async function readCards(
  { database }: AppContext,
  project: ProjectHead,
  covers: readonly ProjectCover[],
): Promise<CoverCard[]> {
  const db = database.kysely;
  const key = { agencyId: project.agencyId, projectId: project.id };
  const ids = covers.map(({ structureId }) => structureId);
  const [shots, plans, events, bearings, ringCatalogue] = await Promise.all([
    Promise.all(covers.map((cover) => shotsOf(db, project, cover))),
    findPlanVersions(db, key, ids),
    findEvents(db, project.agencyId, ids),
    loadBearings(db, project),
    project.ringCatalogueId ? findRingCatalogue(db, project.agencyId, project.ringCatalogueId) : null,
  ]);
  const newStacks = await findNewStacks(db, project, covers, {
    ringCatalogue,
    bearingOf: (cover) => bearingOf(cover, bearings),
  });
  const { toLonLat } = makeProjection(crsOf(project.crs));
  return covers.map((cover, index) =>
    toCard(project, cover, {
      shots: shots[index],
      plans: plans.get(cover.structureId) ?? [],
      history: events.get(cover.structureId) ?? [],
      roadBearingDeg: bearingOf(cover, bearings),
      ringCatalogue,
      newStack: newStacks.get(cover.structureId) ?? null,
      toLonLat,
    }),
  );
}

function shotsOf(
  db: AppContext['database']['kysely'],
  { agencyId, id: projectId, limits }: ProjectHead,
  { eastingM: east, northingM: north }: ProjectCover,
) {
  return findShotsNear(db, { agencyId, projectId }, { east, north, reachM: limits.reachLimitM.value });
}

interface Known {
  shots: (SurfaceShot & { distance: number })[];
  plans: PlanVersion[];
  history: HistoryEvent[];
  roadBearingDeg: number | null;
  ringCatalogue: RingCatalogue | null;
  newStack: NewStack | null;
  toLonLat: (east: number, north: number) => [number, number];
}

function toCard(project: ProjectHead, cover: ProjectCover, known: Known): CoverCard {
  const { structure, outcome } = cover;
  return {
    structure,
    projectId: project.id,
    stationM: cover.stationM,
    offsetM: cover.offsetM,
    roadBearingDeg: known.roadBearingDeg,
    eastingM: cover.eastingM,
    northingM: cover.northingM,
    plan: outcome && toPlan(outcome, cover.planRevision!),
    planStale: project.planStale || cover.isStale,
    fieldStatus: cover.fieldStatus,
    conflict: cover.isConflict,
    newStack: known.newStack,
    crew: cover.crew,
    night: cover.night,
    limits: project.limits,
    ringCatalogue: known.ringCatalogue,
    shots: known.shots.map((shot) => toNearShot(shot, known.toLonLat(shot.east, shot.north), outcome)),
    plans: known.plans,
    history: known.history,
  };
}
