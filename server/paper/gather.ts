import type { AnyKept, Facts } from '#core/field/facts.ts';
import { askedOf } from '#core/seal/required.ts';
import type { RingCatalogue } from '#shared/ring-catalogue.ts';
import type { Structure } from '#shared/structure.ts';
import type { VacuumTable } from '#shared/vacuum-table.ts';
import { bearingOf, type CoverBearing, loadBearings } from '../bearings.ts';
import type { AppContext } from '../context.ts';
import { toPlan } from '../cover-view.ts';
import { findCoversOf, type ProjectCover } from '../store/covers.ts';
import { findPhoto } from '../store/field/photos.ts';
import { findRecordsOf } from '../store/field/records.ts';
import { findVacuumTable } from '../store/field/vacuum-tables.ts';
import { findPlanTimes } from '../store/plans.ts';
import type { ProjectHead } from '../store/projects.ts';
import { findRingCatalogue } from '../store/ring-catalogues.ts';
import { type SheetFacts, sheetFacts } from './facts.ts';
import { largestPhoto, tooLarge } from './photo.ts';
import { sealWords } from './seal.ts';
import type { SheetCover, SheetPhoto, VacuumAsked } from './sheet/types.ts';

/** What all covers of a document share, read once. */
export interface Gathering {
  context: AppContext;
  project: ProjectHead;
  catalogue: RingCatalogue | null;
  /** The agency's table for its vacuum tests; null where none is chosen. */
  vacuumTable: VacuumTable | null;
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
  const tableId = project.limits.vacuumTableId.value;
  const [bearings, catalogue, vacuumTable] = await Promise.all([
    loadBearings(db, project),
    project.ringCatalogueId ? findRingCatalogue(db, project.agencyId, project.ringCatalogueId) : null,
    tableId === null ? null : findVacuumTable(db, project.agencyId, tableId),
  ]);
  return { context, project, catalogue, vacuumTable, bearings, origin };
}

const keyOf = ({ agencyId, id }: ProjectHead) => ({ agencyId, projectId: id });

export interface GatheredCover {
  cover: ProjectCover;
  /** All of the cover's, in the order of `seq`. */
  records: AnyKept[];
}

/** These covers with what was recorded of them, in the order of the ids; those that are no covers are absent. */
export async function gatherCovers(
  { context, project }: Gathering,
  ids: readonly string[],
): Promise<GatheredCover[]> {
  const db = context.database.kysely;
  const [covers, records] = await Promise.all([
    findCoversOf(db, keyOf(project), ids),
    findRecordsOf(db, keyOf(project), ids),
  ]);
  const byCover = Map.groupBy(records, ({ structureId }) => structureId);
  return covers.map((cover) => ({ cover, records: byCover.get(cover.structure.id) ?? [] }));
}

/** Sheets of these covers, without their photos. */
export async function gatherSheets(gathering: Gathering, ids: readonly string[]): Promise<Sheet[]> {
  const { context, project } = gathering;
  const found = await gatherCovers(gathering, ids);
  const revisions = found.flatMap(({ cover }) => (cover.planRevision === null ? [] : [cover.planRevision]));
  const times = await findPlanTimes(context.database.kysely, keyOf(project), revisions);
  return found.map(({ cover, records }) => {
    const facts = sheetFacts(records);
    return { cover: toSheet(gathering, cover, { facts, times }), photo: facts.photo };
  });
}

/** A sheet and the photo that it is to have, not read yet. */
export interface Sheet {
  cover: SheetCover;
  photo: Facts['photo'] | null;
}

/** A photo to print; words where it did not come yet or stays on the card. */
export async function readPhoto(
  { context, project }: Gathering,
  { sha256, caption }: Facts['photo'],
): Promise<SheetPhoto> {
  const key = { agencyId: project.agencyId, sha256 };
  const without = (why: string) => ({ bytes: null, why, caption });
  if (!(await findPhoto(context.database.kysely, project.agencyId, sha256))) {
    return without('The photo has not come from its phone yet.');
  }
  const size = await context.photos.size(key);
  if (size === 0) return without('The photo is missing from the folder of the server.');
  if (size > largestPhoto) return without(tooLarge(size));
  const parts: Buffer[] = [];
  for await (const part of context.photos.read(key)) parts.push(part as Buffer);
  return { bytes: Buffer.concat(parts), why: null, caption };
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
    seal: sealWords(stack.length, {
      ringCatalogue: catalogue,
      limits: project.limits,
      chosen: facts.chosen,
      plan,
      isSeatRough: facts.isSeatRough,
    }),
    vacuum: vacuumAsked(gathering, structure),
    address: `${origin}/?${new URLSearchParams({ project: project.id, cover: structure.id })}`,
  };
}

/** What a test here takes by the agency's table; null where none is asked for. */
function vacuumAsked(
  { project, vacuumTable }: Gathering,
  { structureDiameterM: diameterM, structureDepthM: depthM }: Structure,
): VacuumAsked | null {
  if (project.limits.vacuumTest.value === 'none') return null;
  if (!vacuumTable) {
    const why = 'No table of times is chosen: ask the engineer before you test.';
    return { requiredSeconds: null, why, startInHg: null, endInHg: null, table: '' };
  }
  const { seconds, doubts } = askedOf(vacuumTable, { diameterM, depthM });
  const { startInHg, endInHg, name, source } = vacuumTable;
  return { requiredSeconds: seconds, why: doubts.join(' '), startInHg, endInHg, table: `${name}, ${source}` };
}

function staleWords(project: ProjectHead, cover: ProjectCover): string | null {
  if (cover.isStale)
    return 'Replaced by a later plan: this stack was put together before it. Ask before you build.';
  if (project.planStale)
    return 'Something changed since this plan: plan again and print this again before you build.';
  return null;
}
