import { type CentreLine, stationOn } from './station.ts';

/** A centre line with the street it belongs to. */
export interface NamedCentreLine {
  /** As the register writes it; null where nobody said. */
  street: string | null;
  line: CentreLine;
}

/** Azimuth up-station at a place (radians, 0 to 2 pi), or null where no centre line is near. */
export type BearingAt = (place: { east: number; north: number; street: string | null }) => number | null;

/**
 * Road bearings from centre lines: of the nearest line of the cover's own street, or of the nearest of all where no
 * line is of that street. A line farther away than `limit` (metres) is another road's.
 */
export function makeBearings(lines: readonly NamedCentreLine[], limit: number): BearingAt {
  const boxed = lines.map(({ street, line }) => {
    const box = { west: Infinity, south: Infinity, east: -Infinity, north: -Infinity };
    for (const [east, north] of line) {
      box.west = Math.min(box.west, east - limit);
      box.east = Math.max(box.east, east + limit);
      box.south = Math.min(box.south, north - limit);
      box.north = Math.max(box.north, north + limit);
    }
    return { street, line, box };
  });
  return ({ east, north, street }) => {
    const near = boxed.filter(
      ({ box }) => east >= box.west && east <= box.east && north >= box.south && north <= box.north,
    );
    const named = street === null ? [] : near.filter((each) => each.street === street);
    let best: { bearing: number; distance: number } | null = null;
    for (const { line } of named.length > 0 ? named : near) {
      const found = stationOn(line, east, north);
      const distance = found ? Math.abs(found.offset) : Infinity;
      if (found && distance <= limit && (!best || distance < best.distance))
        best = { bearing: found.bearing, distance };
    }
    return best?.bearing ?? null;
  };
}
