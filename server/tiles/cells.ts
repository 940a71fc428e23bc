import type { TileAddress } from '../store/tiles/area.ts';
import { cellsPerSide, firstCoverZoom } from '../store/tiles/places.ts';
import type { CountTuple } from '../store/tiles/read.ts';

/** Covers of one kind, a status or an answer, in one of the finest cells of counts, and the sums of their places. */
export interface CellCount {
  /** Column and row of the cell among all of its size. */
  x: number;
  y: number;
  kind: string;
  covers: number;
  sumX: number;
  sumY: number;
}

/** The counts of a tile, from those of all the finest cells: several of them make a cell of a coarser zoom. */
export function countsInTile({ z, x, y }: TileAddress, cells: readonly CellCount[]): CountTuple[] {
  const bits = firstCoverZoom - 1 - z;
  const found = new Map<string, CountTuple>();
  for (const cell of cells) {
    const [column, row] = [(cell.x >> bits) - x * cellsPerSide, (cell.y >> bits) - y * cellsPerSide];
    if (column < 0 || row < 0 || column >= cellsPerSide || row >= cellsPerSide) continue;
    const number = row * cellsPerSide + column;
    const key = `${number} ${cell.kind}`;
    const sum = found.get(key) ?? [number, cell.kind, 0, 0, 0];
    found.set(key, sum);
    sum[2] += cell.covers;
    sum[3] += cell.sumX;
    sum[4] += cell.sumY;
  }
  return [...found.values()].sort((a, b) => a[0] - b[0]);
}
