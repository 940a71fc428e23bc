import type { Kysely } from 'kysely';
import type { Structure } from '#shared/structure.ts';
import { type CoverPlace, findCoverPlaces, upsertCovers } from '../covers.ts';
import { lockProject } from '../plans.ts';
import { recordRims } from '../rim-records.ts';
import { insertChanges, type RowChange } from '../staging/changes.ts';
import {
  changesBetween,
  findStructures,
  insertEvents,
  insertStructures,
  lockStructures,
  type NewEvent,
  type NewStructure,
  updateStructure,
} from '../structures.ts';
import type { Tables } from '../tables.ts';
import { applyStructureChanges } from '../tiles/changes.ts';
import type { Counts } from './batches.ts';

export interface StructureImport {
  agencyId: string;
  projectId: string;
  structures: readonly NewStructure[];
  place: (cover: { id: string; street: string | null; eastM: number; northM: number }) => CoverPlace;
  /** The import that owns what is stored; its row is there already. */
  source: { id: string; fileName: string };
}

interface Sorted {
  new: NewStructure[];
  /** In the register already, but no cover of this project. */
  joined: NewStructure[];
  changed: { before: Structure; after: NewStructure; changes: Record<string, [unknown, unknown]> }[];
  same: NewStructure[];
  /** Covers of the project as they are before the import. */
  covers: Map<string, CoverPlace>;
}

/** Lays a register file beside the register and counts its rows. */
export async function countStructures(db: Kysely<Tables>, given: StructureImport): Promise<Counts> {
  const ids = given.structures.map(({ id }) => id);
  return countsOf(await sortRows(db, given, await findStructures(db, given.agencyId, ids)));
}

/**
 * Stores a register file in the caller's transaction and keeps what each row was before. A field that the file leaves
 * blank keeps what the register says.
 */
export async function storeStructures(db: Kysely<Tables>, given: StructureImport): Promise<Counts> {
  await lockProject(db, given);
  const ids = given.structures.map(({ id }) => id);
  const sorted = await sortRows(db, given, await lockStructures(db, given.agencyId, ids));
  const counts = countsOf(sorted);
  if (counts.new + counts.changed > 0) await store(db, given, sorted);
  return counts;
}

function countsOf(sorted: Sorted): Counts {
  return {
    new: sorted.new.length + sorted.joined.length,
    changed: sorted.changed.length,
    same: sorted.same.length,
  };
}

async function sortRows(
  db: Kysely<Tables>,
  given: StructureImport,
  known: ReadonlyMap<string, Structure>,
): Promise<Sorted> {
  const ids = given.structures.map(({ id }) => id);
  const covers = await findCoverPlaces(db, given, ids);
  const sorted: Sorted = { new: [], joined: [], changed: [], same: [], covers };
  for (const structure of given.structures) {
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
    seatElevationM: after.seatElevationM ?? before.seatElevationM,
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
  db: Kysely<Tables>,
  { agencyId, projectId, place, source }: StructureImport,
  sorted: Sorted,
): Promise<void> {
  await insertStructures(db, agencyId, sorted.new, source.id);
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
  await insertChanges(db, { agencyId, importId: source.id }, [
    ...changesOf(sorted),
    ...coverChanges(places, sorted),
  ]);
  const detail = { file: source.fileName, batch: source.id };
  const events: NewEvent[] = [
    ...sorted.new.map(({ id }) => ({ structureId: id, kind: 'imported' as const, detail })),
    ...sorted.changed.map(({ after, changes }) => ({
      structureId: after.id,
      kind: 'imported' as const,
      detail: { ...detail, changes },
    })),
  ];
  await insertEvents(db, agencyId, events);
  const rims = [
    ...sorted.new.map(({ id }) => id),
    ...sorted.changed.filter(movesRim).map(({ after }) => after.id),
  ];
  await recordRims(db, agencyId, rims, { source: 'import', importId: source.id, note: source.fileName });
  await applyStructureChanges(
    db,
    agencyId,
    covers.map(({ id }) => id),
  );
}

const movesRim = ({ changes }: Sorted['changed'][number]): boolean =>
  ['rimElevationM', 'seatElevationM', 'frameHeightM'].some((field) => field in changes);

function changesOf(sorted: Sorted): RowChange[] {
  const made = sorted.new.map(({ id }) => ({
    kind: 'structure' as const,
    key: id,
    before: null,
    afterVersion: 1,
  }));
  const changed = sorted.changed.map(({ before }) => ({
    kind: 'structure' as const,
    key: before.id,
    before: { ...before },
    afterVersion: before.version + 1,
  }));
  return [...made, ...changed];
}

function coverChanges(places: readonly CoverPlace[], { covers }: Sorted): RowChange[] {
  return places.flatMap((after) => {
    const before = covers.get(after.structureId);
    if (before && JSON.stringify(before) === JSON.stringify(after)) return [];
    return [
      {
        kind: 'cover' as const,
        key: after.structureId,
        before: before ? { ...before } : null,
        afterVersion: null,
      },
    ];
  });
}
