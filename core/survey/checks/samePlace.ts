import { median } from '../../surface/robust.ts';
import { type CheckShot, type CheckUnits, type Finding, listNames, nameOf, plain } from './types.ts';

/** Several shots at one place, and what they say of its elevation. */
export interface SamePlace {
  east: number;
  north: number;
  shots: CheckShot[];
  least: number;
  most: number;
  /** Median of the shots; null where they differ by more than the limit, so that choosing one would be a guess. */
  elevation: number | null;
}

export interface SamePlaceLimits {
  /** Metres. Places closer than this in both axes are one; total stations and receivers write the millimetre. */
  apart: number;
  /** Metres. Shots of one place that agree within this are averaged by their median. Common practice, no source. */
  agree: number;
}

export const samePlaceLimits: SamePlaceLimits = { apart: 0.0005, agree: 0.05 };

/** Places shot more than once, in the order of the file. */
export function findSamePlaces(
  shots: readonly CheckShot[],
  units: CheckUnits,
  limits = samePlaceLimits,
): SamePlace[] {
  const cell = limits.apart / units.metresPerUnit;
  const byCell = new Map<string, CheckShot[]>();
  for (const shot of shots) {
    if (Number.isNaN(shot.elevation)) continue;
    const key = `${Math.round(shot.east / cell)} ${Math.round(shot.north / cell)}`;
    const others = byCell.get(key);
    if (others) others.push(shot);
    else byCell.set(key, [shot]);
  }
  const places: SamePlace[] = [];
  for (const at of byCell.values()) {
    if (at.length < 2) continue;
    const elevations = at.map((shot) => shot.elevation);
    const least = Math.min(...elevations);
    const most = Math.max(...elevations);
    const agrees = (most - least) * units.elevationMetresPerUnit <= limits.agree + 1e-9;
    const [{ east, north }] = at;
    places.push({ east, north, shots: at, least, most, elevation: agrees ? median(elevations) : null });
  }
  return places;
}

/** Shots at one place that differ at all; those past the limit are not to be used until somebody chooses. */
export function differingPlaces(
  shots: readonly CheckShot[],
  units: CheckUnits,
  limits = samePlaceLimits,
): Finding[] {
  return findSamePlaces(shots, units, limits)
    .filter(({ least, most }) => most > least)
    .map(({ shots: at, east, north, least, most, elevation }) => {
      const place = `${plain(east)},${plain(north)}`;
      const said = `${at.length} shots at ${place} differ by ${plain(most - least)} (${listNames(at.map(nameOf))})`;
      const limit = `${plain(limits.agree / units.elevationMetresPerUnit)}`;
      return {
        code: elevation === null ? 'samePlaceConflict' : 'samePlace',
        points: at.map(nameOf),
        rows: at.map(({ row }) => row),
        values: at.map((shot) => shot.elevation),
        message: said,
        rule:
          elevation === null
            ? `they differ by more than ${limit}, so none is chosen: say which one is right`
            : `within ${limit} their median counts, ${plain(elevation, 4)}`,
        setAside: elevation === null,
      };
    });
}
