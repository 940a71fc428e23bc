/**
 * How the rim stands to the finished surface: the error round a circle lying in a plane is exactly
 * centre + east * sin(azimuth) + north * cos(azimuth). Metres, + = proud, azimuths clockwise from grid north.
 */
export interface RimError {
  centre: number;
  east: number;
  north: number;
}

/** From the errors at grid north, east, south and west. */
export function rimErrorFrom([north, east, south, west]: readonly number[]): RimError {
  return { centre: (north + south) / 2, east: (east - west) / 2, north: (north - south) / 2 };
}

/** Rim error in metres at an azimuth in radians. */
export function rimErrorAt({ centre, east, north }: RimError, azimuth: number): number {
  return centre + east * Math.sin(azimuth) + north * Math.cos(azimuth);
}

export interface RimPoint {
  /** Clock hours, 0 to 12; 0 and 12 are up-station (grid north where no road bearing is known). */
  hour: number;
  error: number;
}

/** Rim error all round the clock, first and last point at 12; `bearing` is the azimuth of 12 o'clock. */
export function rimRound(rim: RimError, bearing: number, parts = 48): RimPoint[] {
  return Array.from({ length: parts + 1 }, (_, index) => {
    const turn = index / parts;
    return { hour: turn * 12, error: rimErrorAt(rim, bearing + turn * 2 * Math.PI) };
  });
}

/** The point farthest from grade: exact, not one of the drawn points. */
export function worstOf(rim: RimError, bearing: number): RimPoint {
  const uphill = Math.atan2(rim.east, rim.north);
  const azimuth = rim.centre >= 0 ? uphill : uphill + Math.PI;
  const turn = ((((azimuth - bearing) / (2 * Math.PI)) % 1) + 1) % 1;
  return { hour: turn * 12, error: rimErrorAt(rim, azimuth) };
}
