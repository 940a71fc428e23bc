import { cellMiddle, cellSide } from '../../store/cell.ts';
import { type CellRun, rowsBetween } from '../../store/plan/cellRuns.ts';

/** Covers of one strip, more or less: a draft is added to in such steps, and its shots are in the heap at once. */
const coversInStrip = 6000;
/** Shots that a band has at most, more or less: some 45 bytes each are kept while it is planned. */
const shotsInBand = 3_000_000;

/** Rows of cells from `first` to `last`, counted from the south. */
export interface Strip {
  /** Among all strips of the project. */
  number: number;
  first: number;
  last: number;
  covers: number;
}

/** Cuts a project into strips of rows that are planned one by one. */
export function cutIntoStrips(rows: readonly { row: number; covers: number }[]): Strip[] {
  const strips: Strip[] = [];
  for (const { row, covers } of rows) {
    const last = strips.at(-1);
    if (last && last.covers + covers <= coversInStrip) {
      last.last = row;
      last.covers += covers;
    } else strips.push({ number: strips.length, first: row, last: row, covers });
  }
  return strips;
}

/**
 * Puts neighbouring strips together whose covers and shots are read at once, as even bands for so many threads: what lies
 * at the edge of two bands is read twice.
 */
export function joinIntoBands(
  strips: readonly Strip[],
  { threads, shots }: { threads: number; shots: number },
): Strip[][] {
  const bands = threads * Math.max(1, Math.ceil(shots / (threads * shotsInBand)));
  const total = strips.reduce((sum, { covers }) => sum + covers, 0);
  const joined: Strip[][] = Array.from({ length: bands }, () => []);
  let before = 0;
  for (const strip of strips) {
    // By where the middle of the strip's covers lies among all.
    const band = Math.floor((bands * (before + strip.covers / 2)) / total);
    joined[band].push(strip);
    before += strip.covers;
  }
  return joined.filter((band) => band.length > 0);
}

/** Cells of the covers of neighbouring strips. */
export function coverRun(strips: readonly Strip[]): CellRun {
  const { south, north } = edgesOf(strips);
  return rowsBetween(south, north - cellSide / 2);
}

/** Cells of all shots that those covers ask for, taken whole. */
export function shotRun(strips: readonly Strip[], reach: number): CellRun {
  const { south, north } = edgesOf(strips);
  return rowsBetween(south - reach - cellSide, north + reach + cellSide);
}

const edgesOf = (strips: readonly Strip[]) => ({
  south: (strips[0].first - cellMiddle) * cellSide,
  north: (strips.at(-1)!.last - cellMiddle + 1) * cellSide,
});
