/** A street's centre line in the project's grid, metres, drawn up-station. */
export type CentreLine = readonly (readonly [east: number, north: number])[];

/** A place as people along a street say it. */
export interface StationOffset {
  /** Distance along the line from its first vertex, metres. */
  station: number;
  /** Distance from the line, metres; + is right looking up-station. */
  offset: number;
  /** Azimuth up-station of the line there, radians clockwise from grid north, 0 to 2 pi. */
  bearing: number;
}

/**
 * Station and offset of a place from the nearest point of a line. On the inside of a bend the nearest leg counts;
 * past an end the line's last leg is not prolonged, so that the offset is the distance to the end.
 * null for a line without length.
 */
export function stationOn(line: CentreLine, east: number, north: number): StationOffset | null {
  let best: (StationOffset & { distance: number }) | null = null;
  let along = 0;
  for (let leg = 1; leg < line.length; leg += 1) {
    const [startEast, startNorth] = line[leg - 1];
    const [dE, dN] = [line[leg][0] - startEast, line[leg][1] - startNorth];
    const length = Math.hypot(dE, dN);
    if (length === 0) continue;
    const [pE, pN] = [east - startEast, north - startNorth];
    const reached = Math.max(0, Math.min(length, (pE * dE + pN * dN) / length));
    const distance = Math.hypot(pE - (dE * reached) / length, pN - (dN * reached) / length);
    if (best === null || distance < best.distance) {
      const side = pE * dN - pN * dE >= 0 ? 1 : -1;
      const bearing = (Math.atan2(dE, dN) + 2 * Math.PI) % (2 * Math.PI);
      best = { station: along + reached, offset: side * distance, bearing, distance };
    }
    along += length;
  }
  if (best === null) return null;
  return { station: best.station, offset: best.offset, bearing: best.bearing };
}
