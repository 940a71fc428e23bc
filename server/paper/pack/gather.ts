import { stateOfCover } from '#core/field/coverState.ts';
import type { AnyKept, Facts, KeptRecord } from '#core/field/facts.ts';
import { formatDistance } from '#core/units/format.ts';
import type { Limits } from '#shared/policy.ts';
import { bearingOf } from '../../bearings.ts';
import { toPlan } from '../../cover-view.ts';
import { HttpProblem, notFound } from '../../http-problem.ts';
import { listCoverIds } from '../../store/cover-page.ts';
import type { ProjectCover } from '../../store/covers.ts';
import { listVacuumTables } from '../../store/field/vacuum-tables.ts';
import { holding } from '../facts.ts';
import { type Gathering, gatherCovers, readPhoto } from '../gather.ts';
import { mostCovers } from '../night.ts';
import type { SheetPhoto } from '../sheet/types.ts';
import { nominal, type PaperUnits } from '../units.ts';
import { acceptingOf, judgeEdge, judgeRim, judgeVacuum } from './judge.ts';
import { packRows } from './rows.ts';
import type { PackCover, PackLimit, PackLine } from './types.ts';
import { verdictOf } from './verdict.ts';

export interface PackSources {
  /** Where the times of a vacuum test are printed, by the id of its table. */
  sourceOf: (tableId: string | null) => string | null;
  units: PaperUnits;
}

const readAtOnce = 50;

export interface Pack {
  lines: PackLine[];
  /** In station order, with photos that are read when their turn comes. */
  covers: AsyncGenerator<PackCover>;
}

/** Covers of a street with what was recorded of them. Throws 404 for none and 422 for more than one document takes. */
export async function gatherPack(gathering: Gathering, street: string, units: PaperUnits): Promise<Pack> {
  const { context, project } = gathering;
  const key = { agencyId: project.agencyId, projectId: project.id };
  const found = await listCoverIds(context.database.kysely, key, {
    order: { sort: 'street', direction: 'up' },
    conditions: { street },
    after: null,
    limit: mostCovers + 1,
  });
  if (found.length === 0) throw notFound(`cover in "${street}" in project "${project.id}"`);
  if (found.length > mostCovers) {
    throw new HttpProblem(422, `More than ${mostCovers} covers are in "${street}": a pack takes no more.`);
  }
  const tables = new Map(
    (await listVacuumTables(context.database.kysely, project.agencyId)).map((table) => [table.id, table]),
  );
  const sourceOf = (id: string | null) => {
    const table = id === null ? undefined : tables.get(id);
    return table ? `${table.name}, ${table.source}` : id;
  };
  const packed: Packed[] = [];
  for (let from = 0; from < found.length; from += readAtOnce) {
    const ids = found.slice(from, from + readAtOnce).map(({ id }) => id);
    for (const { cover, records } of await gatherCovers(gathering, ids)) {
      packed.push(toPackCover(gathering, cover, records, { sourceOf, units }));
    }
  }
  return {
    lines: packed.map(({ cover: { structure, verdict } }) => ({ id: structure.id, ...verdict })),
    covers: withPhotos(gathering, packed),
  };
}

/** Photos of one cover in a pack; the others stay on the card. */
const mostPhotos = 5;

interface Packed {
  cover: PackCover;
  photos: Facts['photo'][];
}

async function* withPhotos(gathering: Gathering, packed: readonly Packed[]): AsyncGenerator<PackCover> {
  for (const { cover, photos } of packed) {
    const read: SheetPhoto[] = [];
    for (const photo of photos.slice(-mostPhotos)) read.push(await readPhoto(gathering, photo));
    yield { ...cover, photos: read };
  }
}

/** A cover as a pack shows it, its photos not read yet. `records`: all of the cover's, in any order. */
export function toPackCover(
  { project, catalogue, bearings }: Gathering,
  cover: ProjectCover,
  records: readonly AnyKept[],
  { sourceOf, units }: PackSources,
): Packed {
  const held = holding(records);
  const accepting = acceptingOf(cover.structure.kind, project.limits);
  const limits = { proud: accepting.proudM, low: accepting.lowM };
  // Of the rim and chimney as they stand: what was checked before they were worked on again was another one.
  const { checks } = stateOfCover(records, { sent: false, limits });
  const rim = checks.rimChecked as KeptRecord<'rimChecked'> | null;
  const bearingDeg = bearingOf(cover, bearings);
  const judgements = [
    judgeRim(rim?.facts.rimErrorsM ?? null, accepting, { units, isClock: bearingDeg !== null }),
    judgeEdge(checks.straightedge?.facts ?? null, accepting, units),
    judgeVacuum(checks.vacuum?.facts ?? null, accepting),
  ];
  const judgement = {
    meets: judgements.every(({ meets }) => meets),
    reasons: [...judgements.flatMap(({ reasons }) => reasons), ...routeWords(cover)],
  };
  const packed: PackCover = {
    structure: cover.structure,
    stationM: cover.stationM,
    offsetM: cover.offsetM,
    roadBearingDeg: bearingDeg,
    plan: cover.outcome && toPlan(cover.outcome, cover.planRevision!),
    verdict: verdictOf(held, judgement),
    rim,
    allowed: { proudM: accepting.proudM, lowM: accepting.lowM },
    rows: packRows({
      held,
      catalogue,
      bearingDeg,
      offsetM: cover.offsetM,
      units,
      asked: {
        vacuum: accepting.isVacuumAsked,
        straightedge: accepting.edgeM.along !== null || accepting.edgeM.across !== null,
      },
      sourceOf,
    }),
    photos: [],
  };
  const photos = held.flatMap((record) => (record.kind === 'photo' ? [record.facts] : []));
  return { cover: packed, photos };
}

const whoseWords = {
  default: 'default',
  agency: 'the agency’s',
  project: 'the project’s',
  catalogue: 'the catalogue’s',
};

/** The rule of accessible routes needs more than is recorded at a rim: it is named, and left to whoever accepts. */
function routeWords({ structure }: ProjectCover): string[] {
  if (!structure.accessibleRoute) return [];
  return ['It lies in an accessible route: change of level and cross slope are not judged here.'];
}

/** The limits that the pack judges by, with whose they are. */
export function packLimits(limits: Limits, units: PaperUnits): PackLimit[] {
  const row = (name: string, { from }: { from: keyof typeof whoseWords }, value: string) => ({
    name,
    value,
    whose: whoseWords[from],
  });
  const size = (name: string, limit: Limits['acceptProudM']) => row(name, limit, nominal(limit.value, units));
  const edge = (name: string, limit: Limits['straightedgeAlongM']) =>
    row(name, limit, limit.value === null ? 'not asked for' : nominal(limit.value, units));
  const { vacuumTest, straightedgeLengthM, drainageKinds } = limits;
  const drains = drainageKinds.value.length === 0 ? 'none' : drainageKinds.value.join(', ');
  return [
    size('Rim proud, at most', limits.acceptProudM),
    size('Rim low, at most', limits.acceptLowM),
    row('Kinds that drain', drainageKinds, drains),
    size('They proud, at most', limits.drainageProudM),
    size('They low, at most', limits.drainageLowM),
    row('Straightedge', straightedgeLengthM, formatDistance(straightedgeLengthM.value, units.elevation)),
    edge('Under it along, at most', limits.straightedgeAlongM),
    edge('Under it across, at most', limits.straightedgeAcrossM),
    row('Passed vacuum test', vacuumTest, vacuumTest.value === 'all' ? 'asked for' : 'not asked for'),
  ];
}
