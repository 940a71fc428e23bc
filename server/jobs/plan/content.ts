import { cellSide } from '../../store/cell.ts';
import { loadFaces } from '../../store/faces.ts';
import type { CellRun } from '../../store/plan/cellRuns.ts';
import { type CoverInput, readCovers } from '../../store/plan/coverRows.ts';
import { readShots } from '../../store/plan/shotInputs.ts';
import type { Transaction } from '../../store/transaction.ts';
import type { PlanCommon } from './common.ts';
import type { Box } from './hash.ts';
import { boxAround, type GroupContent, type Region } from './region.ts';

interface ProjectKey {
  agencyId: string;
  projectId: string;
}

/** Where a region is: its covers by their cells, its shots by those around. */
export interface RegionPlace {
  covers: CellRun[];
  shots: CellRun[];
  /** Widens cells to rectangles: with a list of places only those near them are taken. */
  reach: number;
}

/** Reads a region whole; null where there are no covers in it. */
export async function readRegion(
  transaction: Transaction,
  key: ProjectKey,
  common: PlanCommon,
  place: RegionPlace,
): Promise<Region | null> {
  const covers = await readCovers(transaction.sql, key, place.covers);
  if (covers.length === 0) return null;
  const box = boxAround(covers, place.reach);
  const contents: GroupContent[] = [];
  for (const group of common.groups) {
    const { ids, form, rimsOnly } = group;
    if (form === 'faces') {
      const faces = await loadFaces(transaction.db, { ...key, surfaceId: ids[0] }, box);
      contents.push({ form, faces });
      continue;
    }
    const window = { ...wholeCells(box), runs: place.shots };
    const shots = [];
    for (const surfaceId of ids) {
      for (const shot of await readShots(transaction.sql, { ...key, surfaceId }, window, rimsOnly))
        shots.push(shot);
    }
    contents.push({ form, shots });
  }
  return { covers: inOrder(covers), contents, box, reach: place.reach };
}

/** A cell is taken whole, since its shots are hashed together. */
function wholeCells({ west, south, east, north }: Box): Box {
  return { west: west - cellSide, south: south - cellSide, east: east + cellSide, north: north + cellSide };
}

/** In one order whatever the database gives, so that what a plan writes is the same again. */
function inOrder(covers: CoverInput[]): CoverInput[] {
  return covers.sort((a, b) => (a.structureId < b.structureId ? -1 : 1));
}
