import type { RecordKind } from '#core/field/facts.ts';
import type { StoredNight } from './database.ts';
import { standing } from './hole/standing.ts';
import type { CoverRecord } from './hole/types.ts';

/** Steps that hold a crew to the plan that it did them by. */
const builtBy: readonly RecordKind[] = [
  'stackChosen',
  'mortarBed',
  'spigotTrimmed',
  'dryStacked',
  'sealed',
  'ringsUsed',
  'frameSet',
];

/**
 * The night as it came anew, over the one on the phone. A cover with unsent records stays where the office took it off
 * the night; records that came in meanwhile stay; a card that work was done by is kept beside the one with another plan.
 */
export function fresher(
  before: StoredNight | undefined,
  came: StoredNight,
  unsent: CoverRecord[],
): StoredNight {
  if (!before) return came;
  const ids = new Set(came.bundle.cards.map(({ structure }) => structure.id));
  const held = new Set(unsent.map(({ structureId }) => structureId));
  const staying = before.bundle.cards.filter(({ structure: { id } }) => held.has(id) && !ids.has(id));
  const cards = [...came.bundle.cards, ...staying];
  const shown = new Set(cards.map(({ structure }) => structure.id));
  const byId = new Map(before.bundle.records.map((record) => [record.id, record]));
  for (const record of came.bundle.records) byId.set(record.id, record);
  const records = [...byId.values()]
    .filter(({ structureId }) => shown.has(structureId))
    .sort((a, b) => a.seq - b.seq);
  const builtTo = { ...before.builtTo };
  for (const old of before.bundle.cards) {
    const { id } = old.structure;
    const next = cards.find(({ structure }) => structure.id === id);
    if (!next || builtTo[id] || next.plan?.revision === old.plan?.revision) continue;
    const here: CoverRecord[] = [...records, ...unsent].filter(({ structureId }) => structureId === id);
    if (standing(here).some(({ kind }) => builtBy.includes(kind))) builtTo[id] = old;
  }
  for (const id of Object.keys(builtTo)) {
    const next = cards.find(({ structure }) => structure.id === id);
    // Gone from the night, or back to the plan that was built to.
    if (!next || next.plan?.revision === builtTo[id].plan?.revision) delete builtTo[id];
  }
  return { ...came, bundle: { ...came.bundle, cards, records }, builtTo };
}
