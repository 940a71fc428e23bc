import type { RawGrid } from './types.ts';

/**
 * A grid of elevations as triangles between the centres of its cells. Each four neighbouring centres are split along
 * the diagonal whose ends differ less in elevation (along north-west to south-east where they differ alike); where one
 * of the four has no value the other three are one face, and with less than three there is none.
 */

/** A part of a grid: points x, y, z in the file's units; three indices a face, counter-clockwise seen from above. */
export interface GridPart {
  points: Float64Array;
  faces: Uint32Array;
}

/** The outermost cell centres of a part. */
export interface PartBounds {
  west: number;
  south: number;
  east: number;
  north: number;
}

/** Quads along each side of a part: two faces each, so that a part has at most 20,000. */
const partQuads = 100;
/** Cells read at once; a grid of any height and width is read in bands of so many. */
const bandCells = 2 ** 22;
/** As tall as the tiles that grids are usually stored in, so that a band cuts none of them. */
const bandRows = 256;

/** Rows that a grid of so many columns is read by: a block of it is then unpacked once, and not once a row. */
export const bandHeight = (columns: number): number =>
  Math.max(1, Math.min(bandRows, Math.floor(bandCells / columns)));

/** Numbers written for "no elevation" where a file does not say which; no place on Earth has them. */
const marks: ReadonlySet<number> = new Set([-9999, -32768, -32767, -99999, -999999]);
const beyondEarth = 1e6;

/** Whether a value stands for no elevation, though the file does not say so. */
export const isNoElevation = (value: number): boolean => marks.has(value) || Math.abs(value) > beyondEarth;

const hasElevation = (value: number): boolean => !Number.isNaN(value) && !isNoElevation(value);

/**
 * The faces of a grid part by part, in memory of one band of rows. `wanted` says by its bounds which part to make.
 * @throws what reading the grid throws
 */
export async function* gridParts(
  grid: RawGrid,
  wanted: (bounds: PartBounds) => boolean = () => true,
): AsyncGenerator<GridPart> {
  const { columns, rows } = grid;
  const height = bandHeight(columns);
  let above: Float64Array | null = null;
  for (let top = 0; top < rows; top += height) {
    const own = await grid.window(0, top, columns, Math.min(height, rows - top));
    // The quads between two bands need the last row of the one above.
    const values = above === null ? own : new Float64Array(above.length + own.length);
    if (above !== null) {
      values.set(above);
      values.set(own, above.length);
    }
    const band = { grid, values, firstRow: above === null ? top : top - 1, rows: values.length / columns };
    for (let row = 0; row + 1 < band.rows; row += partQuads) {
      for (let column = 0; column + 1 < columns; column += partQuads) {
        const part = {
          column,
          row,
          right: Math.min(columns - 1, column + partQuads),
          bottom: Math.min(band.rows - 1, row + partQuads),
        };
        if (!wanted(boundsOf(band, part))) continue;
        const made = makePart(band, part);
        if (made.faces.length > 0) yield made;
      }
    }
    above = own.slice(own.length - columns);
  }
}

interface Band {
  grid: RawGrid;
  values: Float64Array;
  /** Row of the grid that the band starts with. */
  firstRow: number;
  rows: number;
}

/** Cells from `column` to `right` and from `row` to `bottom` of a band, both ends with them. */
interface PartCells {
  column: number;
  row: number;
  right: number;
  bottom: number;
}

function boundsOf({ grid, firstRow }: Band, { column, row, right, bottom }: PartCells): PartBounds {
  const { firstX, firstY, cellX, cellY } = grid;
  return {
    west: firstX + column * cellX,
    east: firstX + right * cellX,
    north: firstY - (firstRow + row) * cellY,
    south: firstY - (firstRow + bottom) * cellY,
  };
}

function makePart(band: Band, { column, row, right, bottom }: PartCells): GridPart {
  const { grid, values, firstRow } = band;
  const { columns, firstX, firstY, cellX, cellY } = grid;
  const width = right - column + 1;
  const numbers = new Int32Array(width * (bottom - row + 1)).fill(-1);
  const points = new Float64Array(3 * numbers.length);
  const faces = new Uint32Array(6 * (right - column) * (bottom - row));
  let [count, corners] = [0, 0];
  const numberOf = (x: number, y: number): number => {
    const at = (y - row) * width + x - column;
    if (numbers[at] < 0) {
      points[3 * count] = firstX + x * cellX;
      points[3 * count + 1] = firstY - (firstRow + y) * cellY;
      points[3 * count + 2] = values[y * columns + x];
      numbers[at] = count++;
    }
    return numbers[at];
  };
  for (let y = row; y < bottom; y++) {
    for (let x = column; x < right; x++) {
      for (const face of splitQuad(values, y * columns + x, columns)) {
        for (const [dx, dy] of face) faces[corners++] = numberOf(x + dx, y + dy);
      }
    }
  }
  return { points: points.slice(0, 3 * count), faces: faces.slice(0, corners) };
}

type Corner = readonly [dx: number, dy: number];
type Face = readonly [Corner, Corner, Corner];

// Rows go south: dy = 1 is the southern row.
const [northWest, northEast, southWest, southEast]: Corner[] = [
  [0, 0],
  [1, 0],
  [0, 1],
  [1, 1],
];
const none: readonly Face[] = [];
const alongNorthWest: readonly Face[] = [
  [northWest, southWest, southEast],
  [northWest, southEast, northEast],
];
const alongNorthEast: readonly Face[] = [
  [northWest, southWest, northEast],
  [northEast, southWest, southEast],
];
const without = {
  northWest: [[southWest, southEast, northEast]],
  northEast: [[northWest, southWest, southEast]],
  southWest: [[northWest, southEast, northEast]],
  southEast: [[northWest, southWest, northEast]],
} satisfies Record<string, readonly Face[]>;

function splitQuad(values: Float64Array, at: number, columns: number): readonly Face[] {
  const nw = values[at];
  const ne = values[at + 1];
  const sw = values[at + columns];
  const se = values[at + columns + 1];
  const [hasNw, hasNe, hasSw, hasSe] = [
    hasElevation(nw),
    hasElevation(ne),
    hasElevation(sw),
    hasElevation(se),
  ];
  const lacking = 4 - Number(hasNw) - Number(hasNe) - Number(hasSw) - Number(hasSe);
  if (lacking > 1) return none;
  if (!hasNw) return without.northWest;
  if (!hasNe) return without.northEast;
  if (!hasSw) return without.southWest;
  if (!hasSe) return without.southEast;
  return Math.abs(nw - se) <= Math.abs(ne - sw) ? alongNorthWest : alongNorthEast;
}
