/** Side of a cell, metres: of Web Mercator for structures, of the project's grid for shots. */
export const cellSide = 20;
export const cellMiddle = 2 ** 25;
export const cellsInRow = 2 ** 26;

/** Earth radius of Web Mercator (EPSG:3857). */
const mercatorRadius = 6378137;
/** Latitude at which Web Mercator's square ends. */
const mercatorLimit = 85.051128;

/** Number of the cell that a place lies in; below 2^53 for anything on Earth. Rows go south to north. */
export function cellOf(east: number, north: number): number {
  return (Math.floor(north / cellSide) + cellMiddle) * cellsInRow + Math.floor(east / cellSide) + cellMiddle;
}

export function mercatorCellOf(lon: number, lat: number): number {
  const within = Math.max(-mercatorLimit, Math.min(mercatorLimit, lat));
  const east = (lon * Math.PI * mercatorRadius) / 180;
  const north = mercatorRadius * Math.asinh(Math.tan((within * Math.PI) / 180));
  return cellOf(east, north);
}

/** Runs of cells, one a row, that together hold every place within `reach` of the given one. */
export function cellRunsWithin(east: number, north: number, reach: number): { from: number; to: number }[] {
  const runs: { from: number; to: number }[] = [];
  const last = Math.floor((north + reach) / cellSide);
  for (let each = Math.floor((north - reach) / cellSide); each <= last; each += 1) {
    const southEdge = each * cellSide;
    runs.push({ from: cellOf(east - reach, southEdge), to: cellOf(east + reach, southEdge) });
  }
  return runs;
}
