/** Side of a cell, metres: of Web Mercator for structures, of the project's grid for shots. */
const side = 20;
const middle = 2 ** 25;
const row = 2 ** 26;

/** Earth radius of Web Mercator (EPSG:3857). */
const mercatorRadius = 6378137;
/** Latitude at which Web Mercator's square ends. */
const mercatorLimit = 85.051128;

/** Number of the cell that a place lies in; below 2^53 for anything on Earth. Rows go south to north. */
export function cellOf(east: number, north: number): number {
  return (Math.floor(north / side) + middle) * row + Math.floor(east / side) + middle;
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
  const last = Math.floor((north + reach) / side);
  for (let each = Math.floor((north - reach) / side); each <= last; each += 1) {
    const southEdge = each * side;
    runs.push({ from: cellOf(east - reach, southEdge), to: cellOf(east + reach, southEdge) });
  }
  return runs;
}
