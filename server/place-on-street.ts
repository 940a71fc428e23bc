import { type CentreLine, stationOn } from '#core/alignment/station.ts';
import type { Projection } from '#core/crs/crs.ts';
import type { CoverPlace } from './store/covers.ts';
import type { Street } from './store/streets.ts';

/** A cover farther than this from every centre line belongs to none; a wide boulevard with its parking. */
const farthestM = 40;

interface Placed {
  id: string;
  street: string | null;
  eastM: number;
  northM: number;
}

/**
 * Gives covers their station, offset and road bearing along the street that the register names, or along the
 * nearest one where it names none that is known.
 */
export function makeStreetPlacer(
  streets: readonly Street[],
  projection: Projection,
): (cover: Placed) => CoverPlace {
  const lines = streets.map((street) => ({
    name: street.name,
    line: street.line.map(([lon, lat]) => projection.fromLonLat(lon, lat)) as CentreLine,
  }));
  return ({ id, street, eastM, northM }) => {
    const named = lines.filter((each) => each.name === street);
    const found = (named.length > 0 ? named : lines)
      .map(({ line }) => stationOn(line, eastM, northM))
      .filter((each) => each !== null && Math.abs(each.offset) <= farthestM)
      .sort((a, b) => Math.abs(a!.offset) - Math.abs(b!.offset))[0];
    return {
      structureId: id,
      eastingM: eastM,
      northingM: northM,
      stationM: found?.station ?? null,
      offsetM: found?.offset ?? null,
      roadBearingDeg: found ? (found.bearing * 180) / Math.PI : null,
    };
  };
}
