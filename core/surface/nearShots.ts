import { crosses, type LinePiece, longestPiece, nearestOnPiece } from './breakLines.ts';
import { distanceOutsideHull } from './hull.ts';
import type { LocalShots } from './localFit.ts';
import type { Survey } from './survey.ts';
import type { BreakLine, NoGrade } from './types.ts';

/** Where a finished grade is wanted. Metres and radians in the project's grid. */
export interface Place {
  east: number;
  north: number;
  rimRadius: number;
  roadBearing: number | null;
}

/** At most so many shots, the nearest, go into one plane. */
export const mostShots = 40;

/** Line pieces that may lie between the place and a shot; those lying across its street are another street's. */
export function nearbyPieces(survey: Survey, place: Place): LinePiece[] {
  if (survey.pieces.length === 0) return [];
  const found: number[] = [];
  survey.pieceGrid.within(place.east, place.north, longestPiece, found);
  const pieces = found.sort((a, b) => a - b).map((i) => survey.pieces[i]);
  if (place.roadBearing === null) return pieces;
  const bearing = place.roadBearing;
  return pieces.filter((p) => {
    const across = Math.sin(Math.atan2(p.e2 - p.e1, p.n2 - p.n1) - bearing);
    return Math.abs(across) < Math.sin((50 * Math.PI) / 180);
  });
}

/** The nearest of the pieces, and the piece itself. */
export function nearestLine(pieces: LinePiece[], place: Place): (BreakLine & { piece: LinePiece }) | null {
  let best: (BreakLine & { piece: LinePiece }) | null = null;
  for (const piece of pieces) {
    const { distance, azimuth } = nearestOnPiece(piece, place.east, place.north);
    if (!best || distance < best.distance) best = { kind: piece.kind, distance, azimuth, piece };
  }
  return best;
}

/**
 * Indices of the shots within `reach` that no piece parts from the place, nearest first, at most `mostShots`.
 * `nearest` is the distance of the nearest shot on any side; Infinity for none.
 */
export function gatherShots(survey: Survey, place: Place, pieces: LinePiece[], reach: number) {
  const { east, north, grid } = survey;
  const index: number[] = [];
  grid.within(place.east, place.north, reach, index);
  if (squares.length < index.length) squares = new Float64Array(2 * index.length);
  let nearest = Infinity;
  let n = 0;
  for (const i of index) {
    const square = (east[i] - place.east) ** 2 + (north[i] - place.north) ** 2;
    if (square < nearest) nearest = square;
    const isParted =
      pieces.length > 0 && pieces.some((p) => crosses(p, place.east, place.north, east[i], north[i]));
    if (isParted) continue;
    squares[n] = square;
    index[n++] = i;
  }
  index.length = n;
  if (n <= fewShots) insertInOrder(index, survey);
  else {
    const square = (i: number) => (east[i] - place.east) ** 2 + (north[i] - place.north) ** 2;
    index.sort((a, b) => square(a) - square(b) || east[a] - east[b] || north[a] - north[b]);
  }
  if (n > mostShots) index.length = mostShots;
  return { index, nearest: Math.sqrt(nearest) };
}

/** So few are put in order by insertion, in a third of the time that the general way takes. */
const fewShots = 64;

/** Squares of the distances of the shots that are being put in order: work area, written over from call to call. */
let squares = new Float64Array(fewShots);

/** By distance. Ties are settled by position, not by file order: the same shots give the same plane in any order. */
function insertInOrder(list: number[], { east, north }: Pick<Survey, 'east' | 'north'>): void {
  const keys = squares;
  for (let k = 1; k < list.length; k++) {
    const member = list[k];
    const key = keys[k];
    let at = k;
    for (; at > 0 && key <= keys[at - 1]; at--) {
      const other = list[at - 1];
      const isBefore = key < keys[at - 1] || (east[member] - east[other] || north[member] - north[other]) < 0;
      if (!isBefore) break;
      list[at] = other;
      keys[at] = keys[at - 1];
    }
    list[at] = member;
    keys[at] = key;
  }
}

/** Copy shots into local columns about a place; returns the mean that was taken off their elevations. */
export function loadShots(survey: Survey, place: Place, index: readonly number[], into: LocalShots): number {
  into.n = index.length;
  let mean = 0;
  for (const i of index) mean += survey.elevation[i] / index.length;
  for (let k = 0; k < index.length; k++) {
    const i = index[k];
    into.x[k] = survey.east[i] - place.east;
    into.y[k] = survey.north[i] - place.north;
    into.z[k] = survey.elevation[i] - mean;
    into.d[k] = Math.sqrt(into.x[k] * into.x[k] + into.y[k] * into.y[k]);
    into.sigma[k] = survey.sigma[i];
  }
  return mean;
}

/** Why shots (those that `use` marks) cannot give a plane under a rim at their origin, if so. */
export function whyUnfit(
  shots: LocalShots,
  rimRadius: number,
  sameplace: number,
  use?: Uint8Array,
): NoGrade | null {
  const places = distinctPlaces(shots, sameplace, use);
  if (places < 4) return { reason: 'tooFewShots', count: places, limit: 4 };
  if (isCollinear(shots, use)) return { reason: 'collinear', count: places };
  const outside = distanceOutsideHull(shots.x, shots.y, shots.n, use);
  if (outside > rimRadius) return { reason: 'outsideHull', distance: outside, limit: rimRadius };
  return null;
}

function distinctPlaces({ n, x, y }: LocalShots, tolerance: number, use?: Uint8Array): number {
  const square = tolerance * tolerance;
  let count = 0;
  for (let i = 0; i < n; i++) {
    if (use && use[i] === 0) continue;
    let twin = false;
    for (let j = 0; j < i && !twin; j++) {
      if (use && use[j] === 0) continue;
      const dx = x[i] - x[j];
      const dy = y[i] - y[j];
      twin = dx * dx + dy * dy < square;
    }
    if (!twin) count++;
  }
  return count;
}

/** Shots whose spread across their main direction is under a fifteenth of that along it make no surface. */
function isCollinear({ n, x, y }: LocalShots, use?: Uint8Array): boolean {
  let count = 0;
  let mx = 0;
  let my = 0;
  let xx = 0;
  let xy = 0;
  let yy = 0;
  for (let i = 0; i < n; i++) {
    if (use && use[i] === 0) continue;
    count++;
    mx += x[i];
    my += y[i];
    xx += x[i] * x[i];
    xy += x[i] * y[i];
    yy += y[i] * y[i];
  }
  xx -= (mx * mx) / count;
  xy -= (mx * my) / count;
  yy -= (my * my) / count;
  const half = (xx + yy) / 2;
  const root = Math.sqrt(((xx - yy) / 2) ** 2 + xy * xy);
  return half - root < (half + root) / 225;
}
