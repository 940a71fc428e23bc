import type { PlacedRing } from '#shared/plan.ts';
import type { RingCatalogue } from '#shared/ring-catalogue.ts';
import { bearingOf, type CoverBearing, loadBearings } from '../bearings.ts';
import type { AppContext } from '../context.ts';
import { toPlan } from '../cover-view.ts';
import { findCoversOf, type ProjectCover } from '../store/covers.ts';
import { findPlanTimes } from '../store/plans.ts';
import type { ProjectHead } from '../store/projects.ts';
import { findRingCatalogue } from '../store/ring-catalogues.ts';
import { noFacts, type SheetFacts } from './facts.ts';
import type { SheetCover } from './sheet/types.ts';
import { nominalSize } from './units.ts';

/** What all covers of a document share, read once. */
export interface Gathering {
  context: AppContext;
  project: ProjectHead;
  catalogue: RingCatalogue | null;
  bearings: CoverBearing;
  /** Where people open this server, without a slash at its end. */
  origin: string;
}

export async function startGathering(
  context: AppContext,
  project: ProjectHead,
  origin: string,
): Promise<Gathering> {
  const db = context.database.kysely;
  const key = keyOf(project);
  const [bearings, catalogue] = await Promise.all([
    loadBearings(db, key, project.limits.centreLineLimitM.value),
    project.ringCatalogueId ? findRingCatalogue(db, project.agencyId, project.ringCatalogueId) : null,
  ]);
  return { context, project, catalogue, bearings, origin };
}

const keyOf = ({ agencyId, id }: ProjectHead) => ({ agencyId, projectId: id });

/** Sheets of these covers in the order of the ids, without photos; those that are no covers are absent. */
export async function gatherSheets(gathering: Gathering, ids: readonly string[]): Promise<SheetCover[]> {
  const { context, project } = gathering;
  const db = context.database.kysely;
  const covers = await findCoversOf(db, keyOf(project), ids);
  const revisions = covers.flatMap(({ planRevision }) => (planRevision === null ? [] : [planRevision]));
  const times = await findPlanTimes(db, keyOf(project), revisions);
  return covers.map((cover) => toSheet(gathering, cover, { facts: noFacts, times }));
}

interface Known {
  facts: SheetFacts;
  times: ReadonlyMap<number, Date>;
}

function toSheet(gathering: Gathering, cover: ProjectCover, { facts, times }: Known): SheetCover {
  const { project, catalogue, bearings, origin } = gathering;
  const { structure, outcome, planRevision } = cover;
  const plan = outcome && toPlan(outcome, planRevision!);
  const stack = facts.chosen?.stack ?? plan?.stack ?? [];
  return {
    structure,
    stationM: cover.stationM,
    offsetM: cover.offsetM,
    roadBearingDeg: bearingOf(cover, bearings),
    plan,
    crew: cover.crew,
    night: cover.night,
    limits: project.limits,
    ringCatalogue: catalogue,
    plannedAt: planRevision === null ? null : (times.get(planRevision)?.toISOString() ?? null),
    stale: plan && staleWords(project, cover),
    stop: null,
    chosen: facts.chosen,
    ties: facts.ties,
    photo: null,
    plate: facts.plate,
    seal: sealWords(stack, catalogue),
    vacuum: null,
    address: `${origin}/?${new URLSearchParams({ project: project.id, cover: structure.id })}`,
  };
}

function staleWords(project: ProjectHead, cover: ProjectCover): string | null {
  if (cover.isStale)
    return 'Replaced by a later plan: this stack was put together before it. Ask before you build.';
  if (project.planStale)
    return 'Something changed since this plan: plan again and print this again before you build.';
  return null;
}

/** Without a product of the agency's the joints are only as thick as the catalogue says. */
function sealWords(stack: readonly PlacedRing[], catalogue: RingCatalogue | null) {
  if (!catalogue) return { joints: [], kit: '' };
  const { baseM, betweenM, topM } = catalogue.joint;
  const joint = (metres: number) =>
    metres > 0 ? `joint ${nominalSize(metres, catalogue.unit)} ${catalogue.unit} under` : 'no joint under';
  const joints = stack.map((_, index) => joint(index === 0 ? baseM : betweenM));
  return { joints: [...joints, joint(stack.length === 0 ? baseM : topM)], kit: '' };
}
