import { policyFrom } from '#core/acceptance/limits.ts';
import type { AnyKept, Facts, KeptRecord } from '#core/field/facts.ts';
import { bearingOf } from '../../bearings.ts';
import { toPlan } from '../../cover-view.ts';
import { judgeCover, reasonTexts } from '../../field/acceptance.ts';
import { HttpProblem, notFound } from '../../http-problem.ts';
import { listCoverIds } from '../../store/cover-page.ts';
import type { ProjectCover } from '../../store/covers.ts';
import { listVacuumTables } from '../../store/field/vacuum-tables.ts';
import { holding } from '../facts.ts';
import { type Gathering, gatherCovers, readPhoto } from '../gather.ts';
import { mostCovers } from '../night.ts';
import type { SheetPhoto } from '../sheet/types.ts';
import { type PaperUnits, withFractions } from '../units.ts';
import { packRows } from './rows.ts';
import type { PackCover, PackLine } from './types.ts';
import { verdictOf } from './verdict.ts';

export interface PackSources {
  /** Where the times of a vacuum test are printed, by the id of its table. */
  sourceOf: (tableId: string | null) => string | null;
  units: PaperUnits;
  /** ISO 8601: what cures is held to it. */
  now: string;
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
  const now = new Date().toISOString();
  for (let from = 0; from < found.length; from += readAtOnce) {
    const ids = found.slice(from, from + readAtOnce).map(({ id }) => id);
    for (const { cover, records } of await gatherCovers(gathering, ids)) {
      packed.push(toPackCover(gathering, cover, records, { sourceOf, units, now }));
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
  { project, catalogue, bearings, vacuumTable }: Gathering,
  cover: ProjectCover,
  records: readonly AnyKept[],
  { sourceOf, units, now }: PackSources,
): Packed {
  const held = holding(records);
  const { limits } = project;
  const { proud, low, straightedge, vacuum } = policyFrom(limits, cover.structure.kind);
  const bearingDeg = bearingOf(cover, bearings);
  const judged = { cover, records, bearingDeg, vacuumTable, now };
  const { state, verdict, test } = judgeCover(project, judged);
  const reasons = reasonTexts(project, judged, { verdict, test }).map(({ text }) => withFractions(text));
  const packed: PackCover = {
    structure: cover.structure,
    stationM: cover.stationM,
    offsetM: cover.offsetM,
    roadBearingDeg: bearingDeg,
    plan: cover.outcome && toPlan(cover.outcome, cover.planRevision!),
    verdict: verdictOf(held, { meets: verdict.verdict === 'accept', reasons }),
    // Of the rim as it stands: what was checked before it was worked on again was another one.
    rim: state.checks.rimChecked as KeptRecord<'rimChecked'> | null,
    allowed: { proudM: proud, lowM: low },
    rows: packRows({
      held,
      catalogue,
      bearingDeg,
      offsetM: cover.offsetM,
      units,
      asked: { vacuum, straightedge: straightedge !== null },
      sourceOf,
      vacuumTable,
    }),
    photos: [],
  };
  const photos = held.flatMap((record) => (record.kind === 'photo' ? [record.facts] : []));
  return { cover: packed, photos };
}
