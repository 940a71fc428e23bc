import { joinLines, type LinePiece, longestPiece } from './breakLines.ts';
import { PointGrid } from './grid.ts';
import { isOnSurface, type ShotColumns, shotRoles, shotsThat, shotsWhere, toColumns } from './shotColumns.ts';
import type { Shot, ShotRole } from './types.ts';

/** Shots of one surface laid out for many look-ups: columns, a cell grid and the joined break lines. */
export interface Survey {
  name: string;
  /** Shots on the surface: all but rim and seat shots. */
  shots: ShotColumns;
  east: Float64Array;
  north: Float64Array;
  elevation: Float64Array;
  /** Standard deviation in use for each shot, in metres. */
  sigma: Float64Array;
  grid: PointGrid;
  pieces: LinePiece[];
  pieceGrid: PointGrid;
  rims: StructureShots;
  seats: StructureShots;
  /** Standard deviation of a shot that brings none of its own, and how it was come by. */
  shotSigma: number;
  sigmaFrom: 'given' | 'estimated' | 'assumed' | 'recorded';
  /** false: `shotSigma` 0 was asked for; sigmas still find blunders but are reported as 0. */
  allowance: boolean;
}

/** Shots taken on structures themselves. */
export interface StructureShots {
  shots: ShotColumns;
  grid: PointGrid;
}

/** Sigma assumed where a survey is too small to show its own: a total station's. Common practice, no source. */
export const assumedShotSigma = 0.005;

/** No grid on Earth reaches farther than this (metres); a shot that does is next to no cover. */
const farthest = 1e8;

const isOnEarth = ({ east, north, elevation }: ShotColumns, i: number): boolean =>
  Math.abs(east[i]) < farthest && Math.abs(north[i]) < farthest && Math.abs(elevation[i]) < farthest;

/**
 * Lay out shots. Sigmas are set to what each shot recorded, or to `sigma` where given for all;
 * `estimateSigma` (sigma.ts) fills in the rest.
 */
export function layOutSurvey(
  given: readonly Shot[] | ShotColumns,
  name: string,
  sigma: number | null,
): Survey {
  const all = 'count' in given ? given : toColumns(given);
  const shots = shotsThat(all, (i) => isOnSurface(all, i) && isOnEarth(all, i));
  const isGiven = sigma !== null && sigma > 0;
  const own = new Float64Array(shots.count).fill(isGiven ? sigma : assumedShotSigma);
  let recorded = shots.count > 0;
  for (let i = 0; i < shots.count; i++) {
    if (Number.isNaN(shots.recorded[i])) recorded = false;
    else if (sigma === null) own[i] = shots.recorded[i];
  }
  const coded = shotsOnLines(shots);
  const pieces = [...joinLines(coded, 'crown'), ...joinLines(coded, 'gutter')];
  const { east, north, elevation } = shots;
  return {
    name,
    shots,
    east,
    north,
    elevation,
    sigma: own,
    grid: new PointGrid(east, north, 4),
    pieces,
    pieceGrid: new PointGrid(
      Float64Array.from(pieces, (p) => (p.e1 + p.e2) / 2),
      Float64Array.from(pieces, (p) => (p.n1 + p.n2) / 2),
      longestPiece / 2,
    ),
    rims: structureShots(all, 'rim'),
    seats: structureShots(all, 'seat'),
    shotSigma: isGiven ? sigma : assumedShotSigma,
    sigmaFrom: isGiven ? 'given' : recorded && sigma === null ? 'recorded' : 'assumed',
    allowance: sigma !== 0,
  };
}

function shotsOnLines(shots: ShotColumns): { east: number; north: number; role: ShotRole }[] {
  const roles = shots.role;
  const [crown, gutter] = [shotRoles.indexOf('crown'), shotRoles.indexOf('gutter')];
  const numbers = shotsWhere(shots, (i) => roles[i] === crown || roles[i] === gutter);
  return Array.from(numbers, (i) => ({
    east: shots.east[i],
    north: shots.north[i],
    role: shotRoles[roles[i]],
  }));
}

function structureShots(all: ShotColumns, role: 'rim' | 'seat'): StructureShots {
  const wanted = shotRoles.indexOf(role);
  const shots = shotsThat(all, (i) => all.role[i] === wanted && isOnEarth(all, i));
  return { shots, grid: new PointGrid(shots.east, shots.north, 2) };
}
