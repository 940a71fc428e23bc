import { cellMiddle, cellSide } from '../../store/cell.ts';
import { rowsBetween } from '../../store/plan/cellRuns.ts';
import type { RegionPlace } from './content.ts';

/** Covers of one strip, more or less: enough that the shots read twice at its edges count for little. */
const coversInStrip = 15_000;

/** Rows of cells from `first` to `last`, counted from the south. */
export interface Strip {
  first: number;
  last: number;
  covers: number;
}

/** Cuts a project into strips of rows that are planned one by one, each with all shots within reach of its covers. */
export function cutIntoStrips(rows: readonly { row: number; covers: number }[]): Strip[] {
  const strips: Strip[] = [];
  for (const { row, covers } of rows) {
    const last = strips.at(-1);
    if (last && last.covers + covers <= coversInStrip) {
      last.last = row;
      last.covers += covers;
    } else strips.push({ first: row, last: row, covers });
  }
  return strips;
}

export function placeOfStrip({ first, last }: Strip, reach: number): RegionPlace {
  const south = (first - cellMiddle) * cellSide;
  const north = (last - cellMiddle + 1) * cellSide;
  const justBelow = cellSide / 2;
  return {
    covers: [rowsBetween(south, north - justBelow)],
    shots: [rowsBetween(south - reach - cellSide, north + reach + cellSide)],
    reach,
  };
}
