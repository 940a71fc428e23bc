import { cellMiddle, cellOf, cellRunsWithin, cellSide, cellsInRow } from '../cell.ts';

/** Cells that stand one after the other, both ends among them. */
export interface CellRun {
  from: number;
  to: number;
}

/** South-west corner of a cell, metres in the project's grid. */
export const cornerOf = (cell: number): { east: number; north: number } => ({
  east: ((cell % cellsInRow) - cellMiddle) * cellSide,
  north: (Math.floor(cell / cellsInRow) - cellMiddle) * cellSide,
});

/** Runs that hold every place within `reach` of any of the given cells, none of them over another. */
export function runsAround(cells: Iterable<number>, reach: number): CellRun[] {
  const runs: CellRun[] = [];
  for (const cell of cells) {
    const { east, north } = cornerOf(cell);
    runs.push(...cellRunsWithin(east + cellSide / 2, north + cellSide / 2, reach + cellSide / 2));
  }
  return joinRuns(runs);
}

export function joinRuns(runs: CellRun[]): CellRun[] {
  const joined: CellRun[] = [];
  for (const { from, to } of runs.sort((a, b) => a.from - b.from)) {
    const last = joined.at(-1);
    if (last && from <= last.to + 1) last.to = Math.max(last.to, to);
    else joined.push({ from, to });
  }
  return joined;
}

/** All cells of the rows between two northings. */
export const rowsBetween = (south: number, north: number): CellRun => ({
  from: cellOf(-cellMiddle * cellSide, south),
  to: cellOf(-cellMiddle * cellSide, north) + cellsInRow - 1,
});
