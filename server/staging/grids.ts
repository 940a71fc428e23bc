import { createHash } from 'node:crypto';
import { type GridPart, gridParts, type PartBounds } from '#core/intake/gridFaces.ts';
import type { RawGrid } from '#core/intake/types.ts';
import type { Problem } from '#core/problem.ts';
import { type Block, boundsOf } from '../store/faces.ts';
import type { Positioner } from './position.ts';

/** Cells that are stored whole; of a larger grid what lies near the project's covers is stored. */
const mostWhole = 2_000_000;
/** Faces of one grid that plans can be made from in the memory of a server. */
const mostFaces = 8_000_000;
/** Metres around a cover within which a large grid is stored: farther than any plan looks. */
const reach = 60;

export interface GridReading {
  positioner: Positioner;
  elevationMetresPerUnit: number;
  /** Covers of the project in its grid, metres. */
  covers: readonly { east: number; north: number }[];
}

/** What of a grid is stored as a surface. */
export interface GridSurface {
  name: string;
  faceCount: number;
  sha256: string;
  isWhole: boolean;
  blocks: () => AsyncGenerator<Block>;
}

export interface GridWatch {
  refuse: (problem: Problem) => void;
  place?: (x: number, y: number) => void;
  /** Called after each part. */
  progress: () => Promise<void>;
}

/**
 * A grid as faces in the project's grid, metres: counted and hashed part by part, and made again where they are
 * stored, so that memory holds one band of it. null where nothing of it can be stored, which `refuse` then hears.
 */
export async function surfaceOfGrid(
  grid: RawGrid,
  reading: GridReading,
  { refuse, place, progress }: GridWatch,
): Promise<GridSurface | null> {
  const isWhole = grid.columns * grid.rows <= mostWhole;
  const wanted = isWhole ? undefined : nearCovers(reading);
  const hash = createHash('sha256');
  let faceCount = 0;
  let lost = 0;
  for await (const part of gridParts(grid, wanted)) {
    await progress();
    spread(part, place);
    const block = toBlock(part, reading);
    if (block === null) {
      lost++;
      continue;
    }
    faceCount += block.faces.length / 3;
    for (const array of [block.points, block.faces])
      hash.update(new Uint8Array(array.buffer, array.byteOffset, array.byteLength));
    if (faceCount > mostFaces) break;
  }
  const fault = faultOf({ grid, faceCount, isWhole, lost });
  if (fault) {
    refuse({ row: null, column: null, value: grid.name, ...fault });
    return null;
  }
  const blocks = async function* () {
    for await (const part of gridParts(grid, wanted)) {
      await progress();
      const block = toBlock(part, reading);
      if (block !== null) yield block;
    }
  };
  return { name: grid.name, faceCount, sha256: hash.digest('hex'), isWhole, blocks };
}

interface Made {
  grid: RawGrid;
  faceCount: number;
  isWhole: boolean;
  lost: number;
}

function faultOf({ grid, faceCount, isWhole, lost }: Made): Pick<Problem, 'code' | 'message'> | null {
  const cells = `${(grid.columns * grid.rows).toLocaleString('en')} cells`;
  if (faceCount > mostFaces) {
    const most = mostFaces.toLocaleString('en');
    return {
      code: 'tooManyFaces',
      message: `${cells} make more than ${most} faces; cut the grid or resample it`,
    };
  }
  if (faceCount > 0) return null;
  if (lost > 0) return { code: 'noPlace', message: "the grid has no place in the project's grid" };
  if (isWhole) return { code: 'noFaces', message: 'no three neighbouring cells have an elevation' };
  const message = `the grid has ${cells}, and none of them lies within ${reach} m of a cover of the project; of so large a grid only what lies near covers is stored`;
  return { code: 'notNear', message };
}

/** Places of a part for the small map: its first point and its last. */
function spread({ points }: GridPart, place: GridWatch['place']): void {
  place?.(points[0], points[1]);
  place?.(points[points.length - 3], points[points.length - 2]);
}

/** null where a point has no place in the project's grid. */
function toBlock(
  { points, faces }: GridPart,
  { positioner, elevationMetresPerUnit }: GridReading,
): Block | null {
  const placed = new Float64Array(points.length);
  for (let at = 0; at < points.length; at += 3) {
    const [east, north] = positioner.toGrid(points[at], points[at + 1]);
    if (!Number.isFinite(east) || !Number.isFinite(north)) return null;
    placed[at] = east;
    placed[at + 1] = north;
    placed[at + 2] = points[at + 2] * elevationMetresPerUnit;
  }
  return { points: placed, faces, ...boundsOf(placed) };
}

/** Whether a part comes within reach of a cover, told by squares as wide as the reach. */
function nearCovers({ covers, positioner }: GridReading): (bounds: PartBounds) => boolean {
  const square = (metres: number) => Math.floor(metres / reach);
  const near = new Set<string>();
  for (const { east, north } of covers) {
    for (const de of [-1, 0, 1])
      for (const dn of [-1, 0, 1]) near.add(`${square(east) + de} ${square(north) + dn}`);
  }
  return ({ west, south, east, north }) => {
    const corners = [
      [west, south],
      [west, north],
      [east, south],
      [east, north],
      [(west + east) / 2, (south + north) / 2],
    ].flatMap(([x, y]) => [...positioner.toGrid(x, y), 0]);
    const bounds = boundsOf(Float64Array.from(corners));
    if (!Number.isFinite(bounds.west + bounds.east + bounds.south + bounds.north)) return false;
    // Parts of very large cells are compared cover by cover: there are fewer covers than squares.
    const squares =
      (square(bounds.east) - square(bounds.west) + 1) * (square(bounds.north) - square(bounds.south) + 1);
    if (squares > 10_000) return covers.some((cover) => isIn(cover, bounds));
    for (let e = square(bounds.west); e <= square(bounds.east); e++)
      for (let n = square(bounds.south); n <= square(bounds.north); n++)
        if (near.has(`${e} ${n}`)) return true;
    return false;
  };
}

const isIn = (cover: { east: number; north: number }, { west, south, east, north }: PartBounds): boolean =>
  cover.east >= west - reach &&
  cover.east <= east + reach &&
  cover.north >= south - reach &&
  cover.north <= north + reach;

/** What has to be known of a surface made from a grid before it is stored. */
export function sayOfGrid(
  { columns, rows, firstX, firstY, cellX, cellY }: RawGrid,
  { faceCount, isWhole }: GridSurface,
  { positioner, longestSideM }: { positioner: Positioner; longestSideM: number },
): string[] {
  const [east, north] = positioner.toGrid(firstX, firstY);
  const [otherEast, otherNorth] = positioner.toGrid(firstX + cellX, firstY - cellY);
  const sideM = Math.hypot(otherEast - east, otherNorth - north);
  const count = (number: number) => number.toLocaleString('en');
  const said = [
    `${count(columns * rows)} cells make ${count(faceCount)} faces between their centres: four are split along the diagonal whose ends differ less in elevation, and there is no face where a cell has none. The longest side is ${sideM.toFixed(2)} m in plan.`,
  ];
  if (!isWhole)
    said.push(`Of so large a grid only what lies within ${reach} m of the project's covers is stored.`);
  if (sideM > longestSideM) {
    said.push(
      `The faces are larger than the longest side that plans accept (${longestSideM} m): no plan will have an answer from this grid.`,
    );
  }
  return said;
}
