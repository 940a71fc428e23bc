import { cellSide } from '../../store/cell.ts';
import { loadFaces } from '../../store/faces.ts';
import type { CellRun } from '../../store/plan/cellRuns.ts';
import { type CoverInput, readCovers } from '../../store/plan/coverRows.ts';
import { joinShots, type ReadShots, type StoredShots } from '../../store/plan/shotColumns.ts';
import { readShotColumns, readShots } from '../../store/plan/shotInputs.ts';
import type { Transaction } from '../../store/transaction.ts';
import type { PlanCommon } from './common.ts';
import type { Box } from './hash.ts';
import type { Reach } from './reach.ts';
import { boxAround, type GroupContent, type Region } from './region.ts';
import { coverRun, type Strip, shotRun } from './strips.ts';

interface ProjectKey {
  agencyId: string;
  projectId: string;
}

/** Reads the covers in some cells with what they ask for; null where there are none. */
export async function readRegion(
  transaction: Transaction,
  key: ProjectKey,
  common: PlanCommon,
  place: { covers: CellRun[]; shots: CellRun[]; lineShots: CellRun[]; reach: Reach },
): Promise<Region | null> {
  const covers = await readCovers(transaction.sql, key, place.covers);
  return regionOf(transaction, key, common, {
    covers,
    reach: place.reach,
    shotsOf: async (surfaceId, { near, far }, rimsOnly) => {
      const surface = { ...key, surfaceId };
      const { sql } = transaction;
      if (rimsOnly) return readShots(sql, surface, { ...near, runs: place.shots }, 'rim');
      const offLine = await readShots(sql, surface, { ...near, runs: place.shots }, 'offLine');
      return joinShots([offLine, await readShots(sql, surface, { ...far, runs: place.lineShots }, 'onLine')]);
    },
  });
}

/** Shots that the covers of neighbouring strips ask for, read at once; the covers are read strip by strip. */
export class Band {
  readonly #reading: Transaction;
  readonly #key: ProjectKey;
  readonly #common: PlanCommon;
  readonly #reach: Reach;
  readonly #shots: ReadonlyMap<string, ReadShots>;

  private constructor(
    reading: Transaction,
    { key, common, reach }: BandKey,
    shots: ReadonlyMap<string, ReadShots>,
  ) {
    this.#reading = reading;
    this.#key = key;
    this.#common = common;
    this.#reach = reach;
    this.#shots = shots;
  }

  static async read(reading: Transaction, strips: readonly Strip[], asked: BandKey): Promise<Band> {
    const { key, common, reach } = asked;
    const run = shotRun(strips, reach.far);
    const shots = new Map<string, ReadShots>();
    for (const { ids, form, rimsOnly } of common.groups) {
      if (form === 'faces') continue;
      for (const surfaceId of ids)
        shots.set(surfaceId, await readShotColumns(reading.sql, { ...key, surfaceId }, { run, rimsOnly }));
    }
    return new Band(reading, asked, shots);
  }

  coversOf(strip: Strip): Promise<CoverInput[]> {
    return readCovers(this.#reading.sql, this.#key, [coverRun([strip])]);
  }

  /** What planning these covers asks for; null for none. */
  async region(covers: CoverInput[]): Promise<Region | null> {
    return regionOf(this.#reading, this.#key, this.#common, {
      covers,
      reach: this.#reach,
      shotsOf: (surfaceId, boxes) => this.#shots.get(surfaceId)!.within(boxes),
    });
  }
}

interface BandKey {
  key: ProjectKey;
  common: PlanCommon;
  reach: Reach;
}

interface RegionParts {
  covers: CoverInput[];
  reach: Reach;
  shotsOf: (
    surfaceId: string,
    boxes: { near: Box; far: Box },
    rimsOnly: boolean,
  ) => Promise<StoredShots> | StoredShots;
}

async function regionOf(
  { db }: Transaction,
  key: ProjectKey,
  { groups }: PlanCommon,
  { covers, reach, shotsOf }: RegionParts,
): Promise<Region | null> {
  if (covers.length === 0) return null;
  const box = boxAround(covers, reach.far);
  const boxes = { near: wholeCells(boxAround(covers, reach.near)), far: wholeCells(box) };
  const contents: GroupContent[] = [];
  for (const { ids, form, rimsOnly } of groups) {
    if (form === 'faces') {
      contents.push({ form, faces: await loadFaces(db, { ...key, surfaceId: ids[0] }, box) });
      continue;
    }
    const parts: StoredShots[] = [];
    for (const id of ids) parts.push(await shotsOf(id, boxes, rimsOnly));
    contents.push({ form, shots: joinShots(parts) });
  }
  // In one order whatever the database gives, so that what a plan writes is the same again; and neighbours together, since a
  // draft comes into force part by part, and a part is then of few tiles.
  covers.sort((a, b) => a.eastingM - b.eastingM || (a.structureId < b.structureId ? -1 : 1));
  return { covers, contents, box, reach };
}

/** A cell is taken whole, since its shots are hashed together. */
function wholeCells({ west, south, east, north }: Box): Box {
  return { west: west - cellSide, south: south - cellSide, east: east + cellSide, north: north + cellSide };
}
