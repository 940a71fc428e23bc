import { type Counted, countCover, type LeftOutReason, leftOutReasons } from '#core/supply/countCover.ts';
import { type TakeoffRow, takeoff } from '#core/supply/takeoff.ts';
import { sumOf, Tally } from '#core/supply/tally.ts';
import { leftOutWords } from '#core/supply/words.ts';
import type { RingCatalogue } from '#shared/ring-catalogue.ts';
import { type Takeoff, type TakeoffGroup, type TakeoffRing, takeoffGroups } from '#shared/takeoff.ts';
import type { Database } from '../store/database.ts';
import { keeper } from '../store/kept.ts';
import { findProjectHead, type ProjectHead } from '../store/projects.ts';
import { findRingCatalogue } from '../store/ring-catalogues.ts';
import type { CoverConditions } from '../store/selection.ts';
import { type CoverToCount, eachCoverToCount, findTakeoffToken } from '../store/supply/takeoff-covers.ts';
import { inTransaction } from '../store/transaction.ts';
import { findSupplies, rulesOf } from './ring-supplies.ts';

export interface TakeoffQuestion {
  conditions: CoverConditions;
  by: TakeoffGroup | null;
}

/** Ids that an answer names for a reason. */
const mostIds = 50;

/** The sums of one moment, with the plan that they rest on. */
interface SumsAsOf {
  sums: Sums;
  planRevision: number;
  planStale: boolean;
}

const kept = keeper<SumsAsOf>();

/** The takeoff of a project. Covers are counted once for each change to them; stock is looked up every time. */
export async function readTakeoff(
  database: Database,
  { agencyId, id: projectId, ringCatalogueId, displayUnit }: ProjectHead,
  { conditions, by }: TakeoffQuestion,
): Promise<Takeoff> {
  const db = database.kysely;
  const key = { agencyId, projectId };
  const asked = {
    name: JSON.stringify([agencyId, projectId, conditions]),
    token: await findTakeoffToken(db, key),
  };
  const [counted, catalogue] = await Promise.all([
    kept(db, asked, () => countCovers(database, key, conditions)),
    ringCatalogueId ? findRingCatalogue(db, agencyId, ringCatalogueId) : null,
  ]);
  const rules = catalogue && rulesOf((await findSupplies(db, key, catalogue)).supplies);
  const rows = takeoff(counted.sums.total.needed, catalogue?.rings ?? [], (ring) => rules!.get(ring)!);
  return toTakeoff(
    { ...counted, unit: catalogue?.unit ?? displayUnit, catalogue, rows, by },
    (ring) => rules!.get(ring)!.pack,
  );
}

async function countCovers(
  database: Database,
  key: { agencyId: string; projectId: string },
  conditions: CoverConditions,
): Promise<SumsAsOf> {
  return inTransaction(
    database,
    async (transaction) => {
      const project = await findProjectHead(transaction.db, key.agencyId, key.projectId);
      if (!project) throw new Error('The project went away');
      const sums = new Sums();
      await eachCoverToCount(transaction, key, conditions, (cover) => sums.add(cover, countCover(cover)));
      return { sums, planRevision: project.planRevision, planStale: project.planStale };
    },
    'own',
  );
}

/** Hands every cover that is left out to `take`, in no order. */
export async function eachLeftOut(
  database: Database,
  { agencyId, id: projectId }: ProjectHead,
  conditions: CoverConditions,
  take: (cover: CoverToCount, why: LeftOutReason) => void,
): Promise<void> {
  await inTransaction(
    database,
    (transaction) =>
      eachCoverToCount(transaction, { agencyId, projectId }, conditions, (cover) => {
        const { why } = countCover(cover);
        if (why !== null) take(cover, why);
      }),
    'own',
  );
}

class Sums {
  readonly total = new Tally();
  readonly groups: Record<TakeoffGroup, Map<string | null, Tally>> = {
    street: new Map(),
    night: new Map(),
    crew: new Map(),
  };
  readonly ids = new Map<LeftOutReason, string[]>();

  add(cover: CoverToCount, counted: Counted): void {
    this.total.add(counted);
    for (const by of takeoffGroups) this.#groupOf(by, cover[by]).add(counted);
    if (counted.why !== null) this.#name(counted.why, cover.id);
  }

  #groupOf(by: TakeoffGroup, name: string | null): Tally {
    const known = this.groups[by].get(name);
    if (known) return known;
    const made = new Tally();
    this.groups[by].set(name, made);
    return made;
  }

  /** Keeps the first ids in their own order, whatever order the covers come in. */
  #name(why: LeftOutReason, id: string): void {
    const ids = this.ids.get(why) ?? [];
    if (!this.ids.has(why)) this.ids.set(why, ids);
    if (ids.length === mostIds && id > ids[mostIds - 1]) return;
    const at = ids.findIndex((each) => each > id);
    ids.splice(at < 0 ? ids.length : at, 0, id);
    if (ids.length > mostIds) ids.pop();
  }
}

interface Answer extends SumsAsOf {
  unit: 'in' | 'mm';
  catalogue: RingCatalogue | null;
  rows: readonly TakeoffRow[];
  by: TakeoffGroup | null;
}

function toTakeoff(
  { sums, planRevision, planStale, unit, catalogue, rows, by }: Answer,
  packOf: (ring: string) => number,
): Takeoff {
  const { total } = sums;
  const sum = (of: (row: TakeoffRow) => number) => rows.reduce((so, row) => so + of(row), 0);
  return {
    planRevision,
    planStale,
    ringCatalogueId: catalogue?.id ?? null,
    unit,
    ...countsOf(total),
    reasons: leftOutReasons
      .filter((reason) => total.why.has(reason))
      .map((reason) => ({
        reason,
        text: leftOutWords[reason].sentence,
        covers: total.why.get(reason)!,
        ids: sums.ids.get(reason)!,
      })),
    rings: rows.map((row, at) => toRing(row, catalogue!.rings[at], { total, pack: packOf(row.ring) })),
    unknownRings: unknownOf(total, catalogue),
    totals: {
      needed: sumOf(total.needed),
      kinds: rows.filter(({ needed }) => needed > 0).length,
      built: sumOf(total.standing),
      spare: sum(({ spare }) => spare),
      short: sum(({ short }) => short),
      packs: sum(({ packs }) => packs),
      toOrder: sum(({ toOrder }) => toOrder),
      notCounted: rows.filter(({ needed, spare, onHand }) => needed + spare > 0 && onHand === null).length,
    },
    by,
    groups: [...(by ? sums.groups[by] : [])]
      .sort(([a], [b]) => inOrder(a, b))
      .map(([name, tally]) => toGroup(name, tally)),
  };
}

/** Names as people sort them, null last. */
function inOrder(a: string | null, b: string | null): number {
  if (a === null || b === null) return Number(a === null) - Number(b === null);
  return a < b ? -1 : a > b ? 1 : 0;
}

const countsOf = ({ covers, toBuild, ringless, built, leftOut }: Tally) => ({
  covers,
  toBuild,
  ringless,
  built,
  leftOut,
});

const toGroup = (name: string | null, tally: Tally): Takeoff['groups'][number] => ({
  name,
  ...countsOf(tally),
  needed: sumOf(tally.needed),
  rings: Object.fromEntries([...tally.needed].sort(([a], [b]) => (a < b ? -1 : 1))),
});

function toRing(
  { ring, needed, spare, onHand, short, packs, toOrder, leftOver }: TakeoffRow,
  { thinM, thickM, outerDiameterM }: RingCatalogue['rings'][number],
  { total, pack }: { total: Tally; pack: number },
): TakeoffRing {
  return {
    ring,
    kind: thickM > thinM ? 'taper' : 'flat',
    thinM,
    thickM,
    outerDiameterM,
    needed,
    built: total.standing.get(ring) ?? 0,
    spare,
    onHand,
    short,
    pack,
    packs,
    toOrder,
    leftOver,
  };
}

function unknownOf({ needed, standing }: Tally, catalogue: RingCatalogue | null): Takeoff['unknownRings'] {
  const known = new Set(catalogue?.rings.map(({ id }) => id));
  return [...new Set([...needed.keys(), ...standing.keys()])]
    .filter((ring) => !known.has(ring))
    .sort()
    .map((ring) => ({ ring, needed: needed.get(ring) ?? 0, built: standing.get(ring) ?? 0 }));
}
