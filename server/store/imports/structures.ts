import type { Transaction } from 'kysely';
import type { Structure } from '#shared/structure.ts';
import { type CoverPlace, findCoverIds, upsertCovers } from '../covers.ts';
import type { Database } from '../database.ts';
import { lockProject } from '../plans.ts';
import { touchProjectInputs } from '../projects.ts';
import {
  changesBetween,
  insertEvents,
  insertStructures,
  lockStructures,
  type NewEvent,
  type NewStructure,
  updateStructure,
} from '../structures.ts';
import type { Tables } from '../tables.ts';
import { type Counts, insertBatch } from './batches.ts';

export interface StructureImport {
  agencyId: string;
  projectId: string;
  structures: readonly NewStructure[];
  place: (cover: { id: string; street: string | null; eastM: number; northM: number }) => CoverPlace;
  batch: { id: string; fileName: string; sha256: string; refusedRows: number };
}

interface Sorted {
  new: NewStructure[];
  /** In the register already, but no cover of this project. */
  joined: NewStructure[];
  changed: { before: Structure; after: NewStructure; changes: Record<string, [unknown, unknown]> }[];
  same: NewStructure[];
}

/**
 * Lays a register file beside the register and counts its rows; stores it unless it is a preview. One
 * transaction: all of it or nothing. A field that the file leaves blank keeps what the register says.
 */
export async function importStructures(
  { kysely }: Database,
  given: StructureImport,
  mode: 'preview' | 'store',
): Promise<{ counts: Counts; stored: boolean }> {
  return kysely.transaction().execute(async (db) => {
    await lockProject(db, given);
    const sorted = await sortRows(db, given);
    const counts = {
      new: sorted.new.length + sorted.joined.length,
      changed: sorted.changed.length,
      same: sorted.same.length,
    };
    const stored = mode === 'store' && counts.new + counts.changed > 0;
    if (stored) await store(db, given, sorted, counts);
    return { counts, stored };
  });
}

async function sortRows(db: Transaction<Tables>, given: StructureImport): Promise<Sorted> {
  const { agencyId, structures } = given;
  const ids = structures.map((structure) => structure.id);
  const known = await lockStructures(db, agencyId, ids);
  const covers = await findCoverIds(db, given, ids);
  const sorted: Sorted = { new: [], joined: [], changed: [], same: [] };
  for (const structure of structures) {
    const before = known.get(structure.id);
    if (!before) {
      sorted.new.push(structure);
      continue;
    }
    const after = keepKnown(before, structure);
    const changes = changesBetween(before, after);
    if (Object.keys(changes).length > 0) sorted.changed.push({ before, after, changes });
    else if (covers.has(structure.id)) sorted.same.push(after);
    else sorted.joined.push(after);
  }
  return sorted;
}

function keepKnown(before: Structure, after: NewStructure): NewStructure {
  return {
    ...after,
    kind: after.kind === 'unknown' ? before.kind : after.kind,
    owner: after.owner ?? before.owner,
    street: after.street ?? before.street,
    rimElevationM: after.rimElevationM ?? before.rimElevationM,
    roadBearingDeg: after.roadBearingDeg ?? before.roadBearingDeg,
    structureDepthM: after.structureDepthM ?? before.structureDepthM,
    structureDiameterM: after.structureDiameterM ?? before.structureDiameterM,
    condition: {
      located: after.condition.located ?? before.condition.located,
      chimneyUnsound: after.condition.chimneyUnsound ?? before.condition.chimneyUnsound,
      frameUnsound: after.condition.frameUnsound ?? before.condition.frameUnsound,
    },
  };
}

async function store(
  db: Transaction<Tables>,
  { agencyId, projectId, place, batch }: StructureImport,
  sorted: Sorted,
  counts: Counts,
): Promise<void> {
  await insertStructures(db, agencyId, sorted.new, batch.id);
  for (const { before, after } of sorted.changed) await updateStructure(db, agencyId, after, before.version);
  const covers = [
    ...sorted.new,
    ...sorted.joined,
    ...sorted.changed.map(({ after }) => after),
    ...sorted.same,
  ];
  const places = covers.map(({ id, street, eastingM, northingM }) =>
    place({ id, street, eastM: eastingM, northM: northingM }),
  );
  await upsertCovers(db, { agencyId, projectId }, places);
  const source = { file: batch.fileName, batch: batch.id };
  const events: NewEvent[] = [
    ...sorted.new.map(({ id }) => ({ structureId: id, kind: 'imported' as const, detail: source })),
    ...sorted.changed.map(({ after, changes }) => ({
      structureId: after.id,
      kind: 'imported' as const,
      detail: { ...source, changes },
    })),
  ];
  await insertEvents(db, agencyId, events);
  await insertBatch(db, agencyId, { ...batch, projectId, kind: 'structures', counts });
  await touchProjectInputs(db, agencyId, projectId);
}
